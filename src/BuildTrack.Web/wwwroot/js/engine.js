// The calculations in a worker of their own: the server's assemblies, run by the browser.
import { dotnet } from '/_framework/dotnet.js';

const ready = (async () => {
  const { getAssemblyExports } = await dotnet.withDebugging(0).create();
  return (await getAssemblyExports('BuildTrack.Engine')).BuildTrack.Engine.Engine;
})();

self.onmessage = async ({ data: { id, act, args } }) => {
  try {
    const engine = await ready;
    self.postMessage({ id, answer: engine[act](...args) });
  } catch (e) {
    self.postMessage({ id, fault: String(e?.message ?? e) });
  }
};
