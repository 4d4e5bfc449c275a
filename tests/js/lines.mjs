// How a test asks JavaScript: a line of JSON in, a line of JSON out. Lines are ASCII, so that no newline of Unicode parts
// them.
import { createInterface } from "node:readline";

const escaped = (sign) => `\\u${sign.charCodeAt(0).toString(16).padStart(4, "0")}`;

/** Answer each line of the input, one after another, with what `answer` makes of its JSON. */
export async function answerLines(answer) {
  for await (const line of createInterface({ input: process.stdin, crlfDelay: Infinity })) {
    const text = JSON.stringify(await answer(JSON.parse(line)));
    process.stdout.write(`${text.replace(/[\u007f-\uffff]/g, escaped)}\n`);
  }
}

/** Answer {"call", "args"} with {"said"}; {"error", "readings"} where it was refused with a sentence, {"crash"} where it broke. */
export function answerCalls(calls) {
  return answerLines(async ({ call, args }) => {
    try {
      return { said: (await calls[call](...args)) ?? null };
    } catch (problem) {
      if (problem.isSaid) return { error: problem.message, readings: problem.readings ?? [] };
      return { crash: String(problem.stack) };
    }
  });
}
