// The list under the box of the host. The form that is kept on the phone comes without one: it is in the reference.
import { rulesSoon } from "./check.js";

export function startHosts(form) {
  const { host } = form.elements;
  host.addEventListener("focus", async () => {
    if (!host.list || host.list.options.length) return;
    const known = await rulesSoon();
    if (!known || host.list.options.length) return;
    host.list.append(...known.here.offeredHosts(known.reference).map((value) => new Option("", value)));
  });
}
