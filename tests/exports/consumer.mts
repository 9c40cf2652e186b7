// A program that uses the types of rules/reader.mjs; the TypeScript compiler reads it, nothing runs it.
import { date, prepare, Unreadable } from "../../src/publish/export/rules/reader.mjs";
import type { Garment } from "../../src/publish/export/rules/reader.mjs";

const garment: Garment = { model: "pell-varrick/tarn", market: null, features: { hem: "raw", opening: 10.5 } };
// @ts-expect-error a reading is a text or a number
const wrong: Garment = { features: { hem: true } };

export function likeliest(rules: unknown): string | null {
  try {
    const answer = date(prepare(rules), garment);
    if ("cannot_tell" in answer) return answer.cannot_tell.join(" ");
    const [first, last]: [number, number] = answer.years?.span95[0] ?? [0, 0];
    return `${answer.variants[0]?.id} ${first}–${last} ${wrong.id}`;
  } catch (error) {
    return error instanceof Unreadable ? error.message : null;
  }
}
