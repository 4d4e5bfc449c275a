// One question to the ledger about what is marked. Every answer has `ok`, and a sentence where it is no.

import { say } from "../words.js";

const WAIT_MS = 30_000;

export async function ask(address, body) {
  const mark = document.querySelector('#measure input[name="csrfmiddlewaretoken"]').value;
  try {
    const answer = await fetch(address, {
      method: "POST",
      credentials: "same-origin",
      headers: { "Content-Type": "application/json", "X-CSRFToken": mark },
      body: JSON.stringify(body),
      signal: AbortSignal.timeout(WAIT_MS),
    });
    if (answer.headers.get("Content-Type")?.startsWith("application/json")) {
      return { ...(await answer.json()), ok: answer.ok };
    }
  } catch {
    return {
      ok: false,
      sentence: say("The ledger could not be reached. The points stay; try again where there is a signal."),
    };
  }
  return {
    ok: false,
    sentence: say("The ledger did not take it. The points stay; sign in again in another tab, then try again."),
  };
}
