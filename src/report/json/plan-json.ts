/** The plan as `--json` prints it: full precision, design frame, null where something is absent. */
import type { Job } from '../../job/job.js';
import type { Warning } from '../../job/messages.js';
import type { PlaceKind } from '../../plan/places/place.js';
import type { Plan, PlannedPattern } from '../../plan/plan.js';
import { type Pair, pair } from './fit-json.js';

export interface PatternJson {
  /** How many places. */
  marks: number;
  places: {
    name: string;
    kind: PlaceKind;
    /** Design frame, before `face`. A drawn mark has its own name. */
    at: Pair;
    /** The drawn shape that is touched. */
    shape: string | null;
    /** Unit normal of an edge that is touched once. */
    normal: Pair | null;
    readings: number;
    nearestOpening: { id: string; distance: number } | null;
    fromEdge: number | null;
  }[];
  readings: number;
  redundancy: number;
  /** Of the opening that needs most; null where no uncertainty could be claimed. */
  neededClearance: number | null;
  worstOpening: string | null;
  /** Of the whole job: what `check` will say. */
  jobNeededClearance: number | null;
}

export interface PlanJson {
  job: string;
  /** How many places were asked for, and that pattern. */
  marks: number;
  chosen: PatternJson;
  /** By number of places; `chosen` is among them, or it is `present`. */
  patterns: PatternJson[];
  /** The marks that are there already, as they are. */
  present: PatternJson | null;
  clearance: number | null;
  acceptedRisk: number;
  readingSd: { value: number; dof: number | null; stated: boolean };
  markSd: number;
  choices: {
    use: string[];
    allowed: string | null;
    fromOpenings: number;
    fromEdge: number;
    spacing: number;
    grid: number;
  };
  /** Places that were chosen from. */
  candidates: number;
  warnings: Warning[];
}

export const planJson = (job: Job, plan: Plan): PlanJson => {
  const { choices, readings } = plan;
  return {
    job: job.path,
    marks: choices.marks,
    chosen: patternJson(plan.chosen),
    patterns: plan.patterns.map(patternJson),
    present: plan.present === undefined ? null : patternJson(plan.present),
    clearance: plan.clearance ?? null,
    acceptedRisk: plan.acceptedRisk,
    readingSd: { value: readings.readingSd, dof: readings.readingSdDof ?? null, stated: readings.stated },
    markSd: readings.markSd,
    choices: {
      use: [...choices.use],
      allowed: choices.allowed ?? null,
      fromOpenings: choices.fromOpenings,
      fromEdge: choices.fromEdge,
      spacing: choices.spacing,
      grid: choices.grid,
    },
    candidates: plan.candidates,
    warnings: [...plan.warnings],
  };
};

const patternJson = (pattern: PlannedPattern): PatternJson => ({
  marks: pattern.places.length,
  places: pattern.places.map((place) => ({
    name: place.name,
    kind: place.kind,
    at: pair(place.at),
    shape: place.shape ?? null,
    normal: place.normal === undefined ? null : pair(place.normal),
    readings: place.readings,
    nearestOpening: place.nearestOpening === undefined ? null : { ...place.nearestOpening },
    fromEdge: place.fromEdge ?? null,
  })),
  readings: pattern.readings,
  redundancy: pattern.redundancy,
  neededClearance: pattern.neededClearance ?? null,
  worstOpening: pattern.worstOpening ?? null,
  jobNeededClearance: pattern.jobNeededClearance ?? null,
});
