/** Calls to the server. One function a route; a refusal is a `ServerProblem`, a lost connection a `ConnectionLost`. */

import type {
  AssessmentAnswer,
  CoverageMap,
  Demo,
  Edit,
  EditAnswer,
  HistoryEntry,
  House,
  ImportReport,
  JobAnswer,
  JobDocument,
  JobSummary,
  MapBand,
  MapQuantity,
  NewHome,
  P,
  PlanAnswer,
  Probe,
  Problem,
} from "./types.ts";

/** The server understood and refused, and says what is wrong. */
export class ServerProblem extends Error {
  readonly problem: Problem;
  constructor(problem: Problem) {
    super(problem.detail || problem.title);
    this.name = "ServerProblem";
    this.problem = problem;
  }
}

/** The server could not be reached. */
export class ConnectionLost extends Error {
  constructor(cause?: unknown) {
    super("The server cannot be reached", { cause });
    this.name = "ConnectionLost";
  }
}

/** Whether asking again may help: the program is busy, or the job was edited while it was computed on. */
export function isPassing(error: unknown): boolean {
  if (!(error instanceof ServerProblem)) return error instanceof ConnectionLost;
  return error.problem.status === 503 || error.problem.type.endsWith("superseded");
}

function isProblem(body: unknown): body is Problem {
  return typeof body === "object" && body !== null && "title" in body;
}

async function problemOf(response: Response): Promise<Problem> {
  const body: unknown = await response.json().catch(() => null);
  if (isProblem(body)) {
    return { ...body, type: body.type ?? "about:blank", detail: body.detail ?? "", status: response.status };
  }
  return {
    type: "about:blank",
    title: response.statusText || String(response.status),
    status: response.status,
    detail: "",
  };
}

async function call<T>(path: string, init: RequestInit = {}): Promise<T> {
  let response: Response;
  try {
    response = await fetch(`/api${path}`, init);
  } catch (cause) {
    if (cause instanceof DOMException && cause.name === "AbortError") throw cause;
    throw new ConnectionLost(cause);
  }
  // A gateway in between says so when the server behind it is gone; the server itself sends a problem.
  const isFromServer = response.headers.get("content-type")?.includes("json") ?? false;
  if ([502, 503, 504].includes(response.status) && !isFromServer) throw new ConnectionLost(response.status);
  if (!response.ok) throw new ServerProblem(await problemOf(response));
  return (await response.json()) as T;
}

function get<T>(path: string, signal?: AbortSignal): Promise<T> {
  return call<T>(path, signal ? { signal } : {});
}

function post<T>(path: string, body: unknown, signal?: AbortSignal): Promise<T> {
  return call<T>(path, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
    ...(signal ? { signal } : {}),
  });
}

const job = (id: string) => `/jobs/${encodeURIComponent(id)}`;

function whoOf(who: string): { who?: string } {
  return who.trim() === "" ? {} : { who: who.trim() };
}

export async function version(): Promise<void> {
  await get<unknown>("/version");
}

export async function listJobs(archived: boolean, signal?: AbortSignal): Promise<JobSummary[]> {
  return (await get<{ jobs: JobSummary[] }>(`/jobs?archived=${archived}`, signal)).jobs;
}

export async function listDemos(signal?: AbortSignal): Promise<Demo[]> {
  return (await get<{ demos: Demo[] }>("/demos", signal)).demos;
}

export async function listCountries(signal?: AbortSignal): Promise<{ code: string; name: string }[]> {
  return (await get<{ countries: { code: string; name: string }[] }>("/countries", signal)).countries;
}

export function openDemo(id: string): Promise<JobSummary> {
  return post(`/demos/${encodeURIComponent(id)}`, {});
}

export function readJob(id: string, signal?: AbortSignal): Promise<JobAnswer> {
  return get(job(id), signal);
}

export function readHouse(id: string, signal?: AbortSignal): Promise<House> {
  return get(`${job(id)}/house`, signal);
}

export function readPlan(id: string, signal?: AbortSignal): Promise<PlanAnswer> {
  return get(`${job(id)}/plan`, signal);
}

export function readAssessment(id: string, design: string, signal?: AbortSignal): Promise<AssessmentAnswer> {
  return get(`${job(id)}/assessment?${new URLSearchParams({ design })}`, signal);
}

export interface MapAsked {
  design: string;
  storey: string;
  band: MapBand;
  quantity: MapQuantity;
}

export function readMap(id: string, asked: MapAsked, signal?: AbortSignal): Promise<CoverageMap> {
  return get(`${job(id)}/map?${new URLSearchParams({ ...asked })}`, signal);
}

export interface ProbeAsked {
  design: string;
  storey: string;
  at: P;
  band: MapBand;
}

export function readProbe(id: string, asked: ProbeAsked, signal?: AbortSignal): Promise<Probe> {
  const { design, storey, band, at } = asked;
  const query = new URLSearchParams({ design, storey, band, x: at[0].toFixed(3), y: at[1].toFixed(3) });
  return get(`${job(id)}/probe?${query}`, signal);
}

export async function readHistory(id: string, signal?: AbortSignal): Promise<HistoryEntry[]> {
  return (await get<{ entries: HistoryEntry[] }>(`${job(id)}/history`, signal)).entries;
}

export function sendEdits(
  id: string,
  baseRevision: number,
  label: string,
  edits: Edit[],
  who: string,
): Promise<EditAnswer> {
  return post(`${job(id)}/edits`, { base_revision: baseRevision, label, edits, ...whoOf(who) });
}

export function sendStep(
  id: string,
  step: "undo" | "redo",
  baseRevision: number,
  who: string,
): Promise<EditAnswer> {
  return post(`${job(id)}/${step}`, { base_revision: baseRevision, ...whoOf(who) });
}

export function duplicateJob(id: string, who: string): Promise<JobSummary> {
  return post(`${job(id)}/duplicate`, whoOf(who));
}

export function archiveJob(id: string, archived: boolean): Promise<JobSummary> {
  return post(`${job(id)}/archive`, { archived });
}

export function createJob(document: JobDocument, who: string): Promise<JobSummary> {
  return post("/jobs", { document, ...whoOf(who) });
}

export function sketchHome(home: NewHome, signal?: AbortSignal): Promise<{ house: House; notes: string[] }> {
  return post("/sketch", home, signal);
}

export function createHome(home: NewHome): Promise<{ job: JobSummary; notes: string[] }> {
  return post("/jobs/new", home);
}

/** A job file as text; the server tells TOML from JSON by its name. */
export function uploadJobFile(file: File): Promise<JobSummary> {
  const type = /\.json$/i.test(file.name) ? "application/json" : "application/toml";
  return call(`/jobs/upload?${new URLSearchParams({ name: file.name })}`, {
    method: "POST",
    headers: { "content-type": type },
    body: file,
  });
}

export interface ModelFiles {
  architecture: File;
  electrical: File | null;
  dwelling: string | null;
  country: string;
  who: string;
}

export function importModel(files: ModelFiles): Promise<{ job: JobSummary; report: ImportReport }> {
  const form = new FormData();
  form.set("architecture", files.architecture);
  if (files.electrical) form.set("electrical", files.electrical);
  if (files.dwelling) form.set("dwelling", files.dwelling);
  form.set("country", files.country);
  if (files.who.trim() !== "") form.set("who", files.who.trim());
  return call("/jobs/import", { method: "POST", body: form });
}

export function jobFileAddress(id: string): string {
  return `/api${job(id)}/document.toml`;
}
