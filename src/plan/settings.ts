/** What a plan goes by where the job says nothing. */
import { ambiguityTolerance } from '../fit/doubts/ambiguity-words.js';
import type { Arrival } from '../job/error-kinds.js';
import type { Job, PlanUse } from '../job/job.js';
import type { PlannedReadings } from './judge/planned-fit.js';

/** mm; common practice, no source: a drilled dot keeps clear of a stained edge, and of the panel's rim. */
const usualFromOpenings = 5;
const usualFromEdge = 8;
/** mm: what a rule shows. */
const usualGrid = 1;
const usualMarks = 3;
/** Share of the panel's diagonal: marks side by side would check nothing but each other. */
const usualSpacing = 0.1;
/** mm per axis, to show what a plan brings where no reading-sd is stated: common practice, no source. */
const supposedSd = 0.1;
/** A pattern differs from itself turned or mirrored by at least this, mm, less on small panels: seen by eye. */
const seenDifference = 5;
const seenShare = 0.02;

export interface PlanChoices {
  readonly marks: number;
  readonly use: readonly PlanUse[];
  readonly allowed?: string;
  readonly fromOpenings: number;
  readonly fromEdge: number;
  readonly spacing: number;
  readonly grid: number;
  /** Keys that the job states itself. */
  readonly stated: ReadonlySet<string>;
}

export const choicesOf = (settings: Job['plan'] = {}, diagonal: number): PlanChoices => ({
  marks: settings.marks ?? usualMarks,
  use: settings.use ?? ['land'],
  ...(settings.allowed === undefined ? {} : { allowed: settings.allowed }),
  fromOpenings: settings.fromOpenings ?? usualFromOpenings,
  fromEdge: settings.fromEdge ?? usualFromEdge,
  spacing: settings.spacing ?? Math.round(usualSpacing * diagonal),
  grid: settings.grid ?? usualGrid,
  stated: new Set(Object.keys(settings)),
});

export const readingsOf = (
  { readingSd, readingSdDof, displayStep, markSd, approach }: Job['fit'],
  { reversal = [0, 0] }: Partial<Pick<Job['machine'], 'reversal'>> = {},
): PlannedReadings => ({
  readingSd: readingSd ?? supposedSd,
  ...(readingSd === undefined || readingSdDof === undefined ? {} : { readingSdDof }),
  stated: readingSd !== undefined,
  ...(displayStep === undefined ? {} : { displayStep }),
  markSdAlone: markSd,
  markSd: Math.hypot(
    markSd,
    Math.max(scatterOfSides(approach?.[0], reversal[0]), scatterOfSides(approach?.[1], reversal[1])),
  ),
});

/** Where marks may be reached from either side, half the lost motion is one more error of each, of the axis that has more. */
const scatterOfSides = (side: Arrival | undefined, reversal: number): number =>
  side === undefined || side === 'either' ? Math.abs(reversal) / 2 : 0;

/** How far a pattern has to miss itself when it is turned or mirrored, mm: twice what the fit needs to tell. */
export const distinctBy = (readings: PlannedReadings, diagonal: number): number =>
  Math.max(2 * ambiguityTolerance(readings), Math.min(seenDifference, seenShare * diagonal));
