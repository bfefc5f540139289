using System.Text.RegularExpressions;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace BuildTrack.Browser.Tests;

/// <summary>An empty installation, from the one-time link to the first machine, by nothing but what the sheets say to do next.</summary>
public sealed class FirstUseTests
{
    private const string Password = "a long first password";

    /// <summary>Touches of a button or link; a person who reads each sheet needs minutes, not an hour.</summary>
    private const int MostTouches = 16;

    private int touches;

    [Fact]
    public async Task The_administrator_is_led_from_the_one_time_link_to_the_first_machine()
    {
        Assert.SkipWhen(DemoServer.WhyNot is not null, DemoServer.WhyNot ?? "");
        await using var server = new DemoServer { Empty = true };
        await server.InitializeAsync();
        var page = await server.Window();
        await page.GotoAsync(server.FirstStart);
        Assert.Empty(await SheetLook.Faults(page));
        await SheetLook.Restore(page);
        await Fill(page, ("Person", "ada"), ("FullName", "Ada First"), ("Password", Password));
        await Press(page, "/plant", "Make the account");

        // The link has done its work.
        Assert.Equal(404, (await page.Context.APIRequest.GetAsync(server.FirstStart)).Status);
        await Fill(page, ("Name", "First Works"), ("Prefix", "FW"), ("TimeZone", "Europe/Vienna"));
        await Press(page, "/plant", "Record the settings");
        await Look(page);

        await Follow(page, "Inspection and test plan");
        await Look(page);
        await Press(page, "/checklists", "Load from the folder");
        await Press(page, "/checklists", new Regex("^Approve edition"));

        await Follow(page, "People");
        foreach (var (person, name, role) in new[] { ("pia", "Pia Plan", "planner"), ("tom", "Tom Tech", "technician"), ("ina", "Ina Inspect", "inspector") })
        {
            await Fill(page, ("Person", person), ("FullName", name), ("Password", Password));
            await page.CheckAsync($"[name='Roles'][value='{role}']");
            await Press(page, "/people", "Add");
        }

        await Look(page);
        await Follow(page, "Instruments");
        await Fill(page, ("Form.Id", "THK-01"), ("Form.Name", "Micrometer"), ("Form.Serial", "M 1"), ("Form.Quantity", "thickness"), ("Form.CalibratedOn", "2026-01-05"), ("Form.ValidTo", "2099-12-31"), ("Form.Certificate", "K-1"), ("Form.A", "0.006 mm"));
        await page.Locator("[name='Form.Use']").First.SelectOptionAsync("absolute");
        await Press(page, "/instruments", "Enter it in the register");
        await Look(page);
        await Follow(page, "First machine");

        await Look(page);
        await Fill(page, ("Serial", "FW1212-0001"), ("Customer", "First Customer"));
        await page.SelectOptionAsync("[name='MachineModel']", "OV-1212/03");
        await Press(page, "/machines/FW1212-0001", "Open the build record");
        await Expect(page.Locator("main")).ToContainTextAsync("The build record of FW1212-0001 is open");
        await Look(page);

        // Who measures signs in, and finds the machine in today's work.
        var tom = await server.Window();
        await tom.GotoAsync("/sign-in?as=tom");
        await Fill(tom, ("Password", Password));
        await Press(tom, "/", "Sign in");
        await tom.Locator("main a[href*='FW1212-0001']").First.ClickAsync();
        await Expect(tom.Locator("main h1").First).ToBeVisibleAsync();
        await Look(tom);
        Assert.True(touches <= MostTouches, $"{touches} touches, expected at most {MostTouches}");
        await server.CloseWindows();
    }

    private static async Task Fill(IPage page, params (string Name, string Value)[] fields)
    {
        foreach (var (name, value) in fields)
        {
            await page.Locator($"main [name='{name}']").First.FillAsync(value);
        }
    }

    private async Task Press(IPage page, string leads, string button) => await Press(page, leads, new Regex($"^{Regex.Escape(button)}$"));

    private async Task Press(IPage page, string leads, Regex button)
    {
        touches++;
        await page.GetByRole(AriaRole.Button, new() { NameRegex = button }).ClickAsync();
        await DemoServer.Reached(page, new Regex($"^https?://[^/]+{Regex.Escape(leads)}([?#].*)?$"));
        await Expect(page.Locator(".told--refused")).ToHaveCountAsync(0);
    }

    /// <summary>The sentence at the top names what is done, and leads to what is next.</summary>
    private async Task Follow(IPage page, string next)
    {
        touches++;
        await page.Locator(".told a", new() { HasText = next }).ClickAsync();
        await Expect(page.Locator("main h1").First).ToBeVisibleAsync();
    }

    private static async Task Look(IPage page)
    {
        Assert.Empty(await SheetLook.Faults(page));
        await SheetLook.Restore(page);
    }
}
