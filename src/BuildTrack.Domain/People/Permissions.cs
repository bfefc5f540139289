using System.Collections.Frozen;

namespace BuildTrack.Domain.People;

/// <summary>The roles a person may hold; several at once are possible.</summary>
public static class Roles
{
    public const string Technician = "technician";
    public const string Inspector = "inspector";
    public const string Planner = "planner";
    public const string Administrator = "administrator";

    /// <summary>Not given to anybody: held while the release of hold points is delegated to a person, and good for those alone.</summary>
    public const string Delegate = "delegate";

    public static IReadOnlyList<string> All { get; } = [Technician, Inspector, Planner, Administrator];

    /// <summary>All that a person may hold at a request, what is only lent included.</summary>
    public static IReadOnlyList<string> WithLent { get; } = [.. All, Delegate];
}

/// <summary>Every act of the product by name; the history of acts uses the same words.</summary>
public static class ActKind
{
    public const string AddPerson = "add person";
    public const string ChangeRoles = "change roles";
    public const string DisablePerson = "disable person";
    public const string IssueToken = "issue token";
    public const string RegisterInstrument = "register instrument";
    public const string CheckInstrument = "check instrument";
    public const string RecordReversal = "record reversal";
    public const string RecordGaugeStudy = "record gauge study";
    public const string RecordUnfit = "record out of limits";
    public const string DecideAffected = "decide on affected";
    public const string ChooseCorrection = "choose correction";
    public const string LoadChecklists = "load checklists";
    public const string ApproveChecklists = "approve checklists";
    public const string SetPlant = "set plant";
    public const string OrderMachine = "order machine";
    public const string ChangeOrder = "change order";
    public const string SetDisclosure = "set disclosure list";
    public const string SetCustomersPoints = "set customer's part";
    public const string RecordTemperatures = "record temperatures";
    public const string BeginRun = "begin run";
    public const string Record = "record";
    public const string TakeBack = "take back";
    public const string Correct = "correct";
    public const string Discard = "discard";
    public const string Finish = "finish";
    public const string ChangeBed = "change bed";
    public const string MoveFeet = "move feet";
    public const string WorkStep = "work on step";
    public const string SetNotApplicable = "set not applicable";
    public const string ReopenStep = "reopen step";
    public const string HoldMachine = "put on hold";
    public const string LiftHold = "lift hold";
    public const string RaiseNonconformance = "raise nonconformance";
    public const string Contain = "contain";
    public const string Propose = "propose disposition";
    public const string Approve = "approve disposition";
    public const string RecordConsent = "record consent";
    public const string GiveBack = "give back";
    public const string RecordAction = "record action";
    public const string VerifyAction = "verify action";
    public const string CloseNonconformance = "close nonconformance";
    public const string AddPunchItem = "add punch item";
    public const string ChangePunchClass = "change punch class";
    public const string ClosePunchItem = "close punch item";
    public const string Release = "release";
    public const string Return = "return";
    public const string IssueCertificate = "issue certificate";
    public const string VoidCertificate = "void certificate";
    public const string AttachFile = "attach file";
    public const string SetFileAside = "set file aside";
    public const string ReviewRecord = "review record";
    public const string NamePaper = "name protocol on paper";
    public const string ComparePaper = "compare with paper";
    public const string FitComponent = "fit component";
    public const string SwapComponent = "swap component";
    public const string InviteWitness = "invite witness";
    public const string RecordWitness = "record witness";
    public const string LetWitnessLookOn = "let witness look on";
    public const string EndLookingOn = "end looking on";
    public const string PutOnList = "put on list";
    public const string TakeOffList = "take off list";
    public const string EnterHoliday = "enter holiday";
    public const string TakeBackHoliday = "take back holiday";
    public const string PromiseMachine = "promise machine";
    public const string RecordKitPart = "record part of kit";
    public const string Delegate = "delegate";
    public const string EndDelegation = "end delegation";
    public const string EnrolTablet = "enrol tablet";
    public const string EndTablet = "end tablet";
    public const string SetPin = "set PIN";
    public const string IssueBadge = "issue badge";
    public const string EndBadge = "end badge";

    public static IReadOnlyList<string> All { get; } =
    [
        AddPerson, ChangeRoles, DisablePerson, IssueToken, RegisterInstrument, CheckInstrument, RecordReversal, RecordGaugeStudy, RecordUnfit, DecideAffected, ChooseCorrection, LoadChecklists, ApproveChecklists, SetPlant, OrderMachine, ChangeOrder, SetDisclosure, SetCustomersPoints,
        RecordTemperatures, BeginRun, Record, TakeBack, Correct, Discard, Finish, ChangeBed, MoveFeet, WorkStep, SetNotApplicable, ReopenStep, HoldMachine, LiftHold, RaiseNonconformance, Contain, Propose, Approve,
        RecordConsent, GiveBack, RecordAction, VerifyAction, CloseNonconformance, AddPunchItem, ChangePunchClass, ClosePunchItem, Release, Return, IssueCertificate, VoidCertificate, FitComponent, SwapComponent, InviteWitness, RecordWitness, LetWitnessLookOn, EndLookingOn,
        AttachFile, SetFileAside, ReviewRecord, NamePaper, ComparePaper, PutOnList, TakeOffList, Delegate, EndDelegation, EnterHoliday, TakeBackHoliday, PromiseMachine, RecordKitPart,
        EnrolTablet, EndTablet, SetPin, IssueBadge, EndBadge,
    ];
}

/// <summary>Which role may do which act (trade practice: who measures does not release, who plans does neither).</summary>
public static class Permissions
{
    private static readonly FrozenDictionary<string, string[]> Allowed = new Dictionary<string, string[]>
    {
        [ActKind.AddPerson] = [Roles.Administrator],
        [ActKind.ChangeRoles] = [Roles.Administrator],
        [ActKind.DisablePerson] = [Roles.Administrator],
        [ActKind.IssueToken] = Roles.All.ToArray(),
        [ActKind.RegisterInstrument] = [Roles.Administrator],
        [ActKind.CheckInstrument] = [Roles.Technician, Roles.Inspector],
        [ActKind.RecordReversal] = [Roles.Technician, Roles.Inspector],
        [ActKind.RecordGaugeStudy] = [Roles.Technician, Roles.Inspector],
        [ActKind.RecordUnfit] = [Roles.Inspector, Roles.Administrator],
        [ActKind.DecideAffected] = [Roles.Inspector],
        [ActKind.ChooseCorrection] = [Roles.Inspector, Roles.Planner, Roles.Administrator],
        [ActKind.LoadChecklists] = [Roles.Administrator],
        [ActKind.ApproveChecklists] = [Roles.Administrator],
        [ActKind.SetPlant] = [Roles.Administrator],
        [ActKind.OrderMachine] = [Roles.Planner, Roles.Administrator],
        [ActKind.ChangeOrder] = [Roles.Administrator],
        [ActKind.SetDisclosure] = [Roles.Administrator],
        [ActKind.SetCustomersPoints] = [Roles.Administrator],
        [ActKind.RecordTemperatures] = [Roles.Technician, Roles.Inspector],
        [ActKind.BeginRun] = [Roles.Technician, Roles.Inspector],
        [ActKind.Record] = [Roles.Technician, Roles.Inspector],
        [ActKind.TakeBack] = [Roles.Technician, Roles.Inspector],
        [ActKind.Correct] = [Roles.Technician, Roles.Inspector],
        [ActKind.Discard] = [Roles.Technician, Roles.Inspector],
        [ActKind.Finish] = [Roles.Technician, Roles.Inspector],
        [ActKind.ChangeBed] = [Roles.Technician, Roles.Inspector],
        [ActKind.MoveFeet] = [Roles.Technician, Roles.Inspector],
        [ActKind.WorkStep] = [Roles.Technician, Roles.Inspector],
        [ActKind.SetNotApplicable] = [Roles.Inspector, Roles.Administrator],
        [ActKind.ReopenStep] = [Roles.Inspector, Roles.Planner],
        [ActKind.HoldMachine] = [Roles.Planner, Roles.Inspector],
        [ActKind.LiftHold] = [Roles.Planner, Roles.Inspector],
        [ActKind.RaiseNonconformance] = Roles.All.ToArray(),
        [ActKind.Contain] = [Roles.Technician, Roles.Inspector],
        [ActKind.Propose] = [Roles.Inspector, Roles.Planner, Roles.Administrator],
        [ActKind.Approve] = [Roles.Inspector, Roles.Planner, Roles.Administrator],
        [ActKind.RecordConsent] = [Roles.Inspector, Roles.Planner],
        [ActKind.GiveBack] = [Roles.Inspector, Roles.Planner, Roles.Administrator],
        [ActKind.RecordAction] = [Roles.Technician, Roles.Inspector, Roles.Planner],
        [ActKind.VerifyAction] = [Roles.Inspector],
        [ActKind.CloseNonconformance] = [Roles.Inspector],
        [ActKind.AddPunchItem] = [Roles.Technician, Roles.Inspector, Roles.Planner],
        [ActKind.ChangePunchClass] = [Roles.Inspector],
        [ActKind.ClosePunchItem] = [Roles.Technician, Roles.Inspector],
        [ActKind.Release] = [Roles.Inspector, Roles.Delegate],
        [ActKind.Return] = [Roles.Inspector],
        [ActKind.IssueCertificate] = [Roles.Inspector],
        [ActKind.VoidCertificate] = [Roles.Inspector],
        [ActKind.AttachFile] = [Roles.Technician, Roles.Inspector],
        [ActKind.SetFileAside] = [Roles.Technician, Roles.Inspector],
        [ActKind.NamePaper] = [Roles.Technician, Roles.Inspector],
        [ActKind.ReviewRecord] = [Roles.Inspector],
        [ActKind.ComparePaper] = [Roles.Technician, Roles.Inspector],
        [ActKind.FitComponent] = [Roles.Technician, Roles.Inspector],
        [ActKind.SwapComponent] = [Roles.Technician, Roles.Inspector],
        [ActKind.InviteWitness] = [Roles.Planner, Roles.Inspector],
        [ActKind.RecordWitness] = [Roles.Inspector, Roles.Delegate],
        [ActKind.LetWitnessLookOn] = [Roles.Inspector],
        [ActKind.EndLookingOn] = [Roles.Inspector],
        [ActKind.PutOnList] = [Roles.Administrator],
        [ActKind.TakeOffList] = [Roles.Administrator],
        [ActKind.Delegate] = [Roles.Technician, Roles.Inspector, Roles.Planner],
        [ActKind.EndDelegation] = Roles.All.ToArray(),
        [ActKind.EnterHoliday] = [Roles.Planner, Roles.Administrator],
        [ActKind.TakeBackHoliday] = [Roles.Planner, Roles.Administrator],
        [ActKind.PromiseMachine] = [Roles.Planner, Roles.Administrator],
        [ActKind.RecordKitPart] = [Roles.Planner, Roles.Administrator],
        [ActKind.EnrolTablet] = [Roles.Administrator],
        [ActKind.EndTablet] = [Roles.Administrator],
        [ActKind.SetPin] = Roles.All.ToArray(),
        [ActKind.IssueBadge] = [Roles.Administrator],
        [ActKind.EndBadge] = [Roles.Administrator],
    }.ToFrozenDictionary();

    /// <summary>The roles that may do an act.</summary>
    public static IReadOnlyList<string> RolesFor(string act) => Allowed[act];

    public static bool May(IEnumerable<string> roles, string act) => roles.Any(r => Allowed[act].Contains(r));
}
