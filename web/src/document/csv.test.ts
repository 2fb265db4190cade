import { expect, test } from "vitest";
import { csvOf, fileName } from "./csv.ts";

test("cells are quoted where they must be, numbers are plain, and what is unknown is empty", () => {
  const columns = [
    { head: 'Name, "of it"', value: (row: [string, number | null]) => row[0] },
    { head: "Rate [Mbit/s]", value: (row: [string, number | null]) => row[1] },
  ];
  expect(
    csvOf(columns, [
      ["a\nb", 1234.5],
      ["c", null],
      ["d", Number.NaN],
    ]),
  ).toBe('"Name, ""of it""",Rate [Mbit/s]\r\n"a\nb",1234.5\r\nc,\r\nd,\r\n');
});

test("a text is never a formula, and a negative number stays one", () => {
  const columns = [{ head: "x", value: (row: string | number) => row }];
  expect(csvOf(columns, ["=1+1", "@x", "-ap", -3])).toBe("x\r\n'=1+1\r\n'@x\r\n'-ap\r\n-3\r\n");
});

test("a file's name is made of letters and figures of any script", () => {
  expect(fileName("Made-up home", "Zwei Häuser / B", "channels")).toBe(
    "made-up-home-zwei-häuser-b-channels.csv",
  );
  expect(fileName("..", "/")).toBe("table.csv");
});
