// What stands at "Send now": only where something can be sent, else why it cannot. Pure.
import { say } from "../words.js";

/**
 * {isShown, isDisabled, word, sentence}. `left`: finds that are left to send; `isOnline`: whether the phone has any network;
 * `isSending`; `why`: how the last try ended ("no signal", "signed out", "ended", null).
 */
export function sendNowState({ left, isOnline, isSending, why }) {
  const nothing = { isShown: false, isDisabled: false, word: say("Send now"), sentence: "" };
  if (!left) return nothing;
  if (isSending) return { ...nothing, isShown: true, isDisabled: true, word: say("Sending …") };
  if (!isOnline) return { ...nothing, sentence: say("No signal. It is all sent by itself when there is one.") };
  // What to do stands above already.
  if (why === "signed out" || why === "ended") return nothing;
  if (why === "no signal") {
    const sentence = say("The ledger did not answer. Everything stays here and is tried again by itself.");
    return { ...nothing, isShown: true, word: say("Try again"), sentence };
  }
  return { ...nothing, isShown: true };
}
