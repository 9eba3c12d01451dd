import assert from "node:assert/strict";
import { test } from "node:test";
import { isCode } from "../src/code.ts";

// The letters of src/pages/access_code.h.
const LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";

test("Ten letters of the code's alphabet are a code, with or without a dash", () => {
  for (const letter of LETTERS) assert.ok(isCode(letter.repeat(10)), letter);
  for (const text of ["K7QF3M2XPD", "k7qf3-m2xpd"]) assert.ok(isCode(text), text);
});

test("Views' names and broken codes are none", () => {
  for (const text of ["", "wall", "K7QF3M2XP", "K7QF3M2XPDD", "K7QF3--M2XPD", "K7QF3M2XP%",
    "K7-QF3M2XPD", ...[..."ILOU"].map((letter) => letter.repeat(10))]) {
    assert.ok(!isCode(text), text);
  }
});
