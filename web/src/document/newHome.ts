/** The eight answers as they are typed, the request that they make, and which answer a problem belongs to. */

import type { FieldProblem, NewHome, Units } from "../engine/types.ts";
import { inReadersArea, squareMetresFrom } from "./format.ts";

/** Numbers are kept as typed, so that a half-typed one is not changed under the hand. */
export interface Answers {
  name: string;
  country: string;
  area: string;
  storeys: string;
  hasBasement: boolean;
  hasAttic: boolean;
  construction: NewHome["construction"];
  attached: NewHome["attached"];
  bedrooms: string;
  bathrooms: string;
  offices: string;
  hasUtility: boolean;
  isKitchenOpen: boolean;
  people: string;
  mayDrill: boolean;
  lineKind: NewHome["line"]["kind"];
  down: string;
  up: string;
  seed: number;
}

/** Where floor areas are spoken of in square feet. */
export function unitsOf(country: string): Units {
  return country === "US" ? "feet-inches" : "metric";
}

export function firstAnswers(name: string, country: string): Answers {
  return {
    name,
    country,
    area: String(Math.round(inReadersArea(120, unitsOf(country)) / 10) * 10),
    storeys: "2",
    hasBasement: false,
    hasAttic: false,
    construction: "timber-frame",
    attached: "detached",
    bedrooms: "3",
    bathrooms: "2",
    offices: "1",
    hasUtility: true,
    isKitchenOpen: true,
    people: "3",
    mayDrill: true,
    lineKind: "fibre",
    down: "500",
    up: "100",
    seed: 1,
  };
}

/** The area keeps its meaning when the country, and with it the unit, changes. */
export function withCountry(answers: Answers, country: string): Answers {
  const before = unitsOf(answers.country);
  const after = unitsOf(country);
  const typed = Number(answers.area);
  if (before === after || answers.area.trim() === "" || !Number.isFinite(typed))
    return { ...answers, country };
  const converted = inReadersArea(squareMetresFrom(typed, before), after);
  return { ...answers, country, area: String(Math.round(converted)) };
}

export interface Asked {
  home: NewHome | null;
  problems: FieldProblem[];
}

/** The request, or which numbers cannot be read. Whether they make sense is for the server to say. */
export function askedOf(answers: Answers, needNumber: string): Asked {
  const problems: FieldProblem[] = [];
  const read = (path: string, typed: string) => {
    const value = Number(typed);
    if (typed.trim() === "" || !Number.isFinite(value))
      problems.push({ path, message: needNumber, hint: null });
    return value;
  };
  const whole = (path: string, typed: string) => {
    const value = read(path, typed);
    if (Number.isFinite(value) && typed.trim() !== "" && (!Number.isInteger(value) || value < 0)) {
      problems.push({ path, message: needNumber, hint: null });
    }
    return value;
  };
  const home: NewHome = {
    name: answers.name.trim(),
    country: answers.country,
    floor_area_m2: squareMetresFrom(read("floor_area_m2", answers.area), unitsOf(answers.country)),
    storeys: whole("storeys", answers.storeys),
    basement: answers.hasBasement,
    attic: answers.hasAttic,
    construction: answers.construction,
    attached: answers.attached,
    rooms: {
      bedrooms: whole("rooms/bedrooms", answers.bedrooms),
      bathrooms: whole("rooms/bathrooms", answers.bathrooms),
      offices: whole("rooms/offices", answers.offices),
      utility: answers.hasUtility,
      open_kitchen: answers.isKitchenOpen,
    },
    people: whole("people", answers.people),
    may_drill: answers.mayDrill,
    line: {
      kind: answers.lineKind,
      down_bps: read("line/down_bps", answers.down) * 1e6,
      up_bps: read("line/up_bps", answers.up) * 1e6,
    },
    seed: answers.seed,
  };
  return problems.length > 0 ? { home: null, problems } : { home, problems };
}

function tidy(path: string): string {
  return path.replaceAll(".", "/").replace(/^\/+/, "");
}

/** The problems of one answer. */
export function problemsAt(problems: readonly FieldProblem[], path: string): FieldProblem[] {
  return problems.filter((problem) => tidy(problem.path) === path);
}

/** The problems that belong to none of the answers. */
export function problemsElsewhere(
  problems: readonly FieldProblem[],
  paths: readonly string[],
): FieldProblem[] {
  return problems.filter((problem) => !paths.includes(tidy(problem.path)));
}
