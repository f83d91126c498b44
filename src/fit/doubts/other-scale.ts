/** Whether the readings contradict an assumed scale of the drawing, and which other one they agree with. */
import { type OtherScale, otherScales } from '../../drawing/assumed-scale.js';
import type { AssumedScale, Drawing } from '../../drawing/model/drawing.js';
import { type Box, distance, type Point } from '../../geometry/point.js';
import { type Job, whereInJob } from '../../job/job.js';
import { InputError } from '../../job/messages.js';
import type { FitOutcome, Observation } from '../fit.js';
import { meanReading } from '../solve/uncertainty.js';
import { marksNamed, mm } from '../words.js';

/** Of a distance between two marks: wider than any panel changes its size, and far narrower than scales lie apart. */
const relativeTolerance = 0.007;
/** What a distance may be out by on top of it: so many sds of a reading, or this where none is stated, mm. */
const sds = 6;
const usualTolerance = 0.5;
/** Marks whose distances are looked at. */
const mostMarks = 40;
/** A scale less than this apart from another one cannot be told from it on short distances. */
const leastShown = 0.5;

/** Two marks, as drawn and as read. */
interface MarkDistance {
  readonly marks: readonly [string, string];
  /** mm. */
  readonly drawn: number;
  readonly read: number;
}

export type ScaleFinding =
  | { readonly kind: 'agrees' | 'untold' }
  | { readonly kind: 'other'; readonly scale: OtherScale; readonly longest: MarkDistance };

/**
 * Distances between marks say the scale, whatever the fit does with it and wherever the part lies. A scale holds where at
 * least half of them agree with it: a slip at one mark of four leaves half of them right.
 *
 * @param observations of marks that are drawn, so that they grow with the drawing
 * @param readingSd mm per axis; undefined: not stated
 */
export const scaleFrom = (
  observations: readonly Observation[],
  others: readonly OtherScale[],
  readingSd: number | undefined,
): ScaleFinding => {
  const margin = readingSd === undefined ? usualTolerance : sds * readingSd;
  const tolerance = (ratio: number, drawn: number): number => margin + relativeTolerance * ratio * drawn;
  const all = distancesBetween(observations);
  const agreeing = (ratio: number): MarkDistance[] =>
    all.filter(({ drawn, read }) => Math.abs(read - ratio * drawn) <= tolerance(ratio, drawn));
  const asAssumed = agreeing(1);
  const holds = (found: readonly MarkDistance[]): boolean =>
    found.length > 0 && 2 * found.length >= all.length;
  if (holds(asAssumed)) {
    const longest = Math.max(...asAssumed.map(({ drawn }) => drawn));
    const isShown = others.every(
      ({ ratio }) => Math.abs(ratio - 1) * longest * leastShown > tolerance(1, longest),
    );
    return { kind: isShown ? 'agrees' : 'untold' };
  }
  let best: { scale: OtherScale; found: readonly MarkDistance[]; apart: number } | undefined;
  for (const scale of others) {
    const found = agreeing(scale.ratio);
    const apart = found.reduce((sum, { drawn, read }) => sum + Math.abs(read / (scale.ratio * drawn) - 1), 0);
    const more = found.length - (best?.found.length ?? 0);
    if (more > 0 || (more === 0 && apart < (best?.apart ?? 0))) best = { scale, found, apart };
  }
  if (best === undefined || best.found.length <= asAssumed.length || !holds(best.found))
    return { kind: 'untold' };
  const longest = best.found.reduce((most, one) => (one.drawn > most.drawn ? one : most));
  return { kind: 'other', scale: best.scale, longest };
};

const distancesBetween = (observations: readonly Observation[]): MarkDistance[] => {
  const some = observations.slice(0, mostMarks);
  const at: Point[] = some.map((o) => meanReading(o.readings));
  const found: MarkDistance[] = [];
  for (let i = 0; i < some.length; i += 1) {
    for (let j = i + 1; j < some.length; j += 1) {
      const drawn = distance(some[i]!.design, some[j]!.design);
      if (drawn === 0) continue;
      found.push({ marks: [some[i]!.mark, some[j]!.mark], drawn, read: distance(at[i]!, at[j]!) });
    }
  }
  return found;
};

/**
 * Holds the assumed scale of a drawing against the readings of its drawn marks. Marks whose places are typed do not grow with
 * it; but they lie on the panel.
 *
 * @param panel in the design frame, mm; undefined: not known
 * @returns true where the readings agree with it
 * @throws InputError where they agree with another scale
 */
export const checkScale = (
  job: Job,
  { scale }: Pick<Drawing, 'scale'>,
  panel: Box | undefined,
  observations: readonly Observation[],
): boolean => {
  if (scale === undefined) return false;
  if (panel !== undefined) checkTyped(job, panel, scale);
  const isDrawn = (mark: string): boolean => {
    const source = job.marks?.get(mark);
    return job.marks === undefined || (source !== undefined && 'shape' in source);
  };
  const read = new Set(job.readings.map(({ mark }) => mark).filter(isDrawn));
  const drawn = observations.filter(({ mark }) => read.has(mark));
  const finding = scaleFrom(drawn, otherScales(scale), job.fit.readingSd);
  if (finding.kind === 'other') {
    const { marks, drawn: apart, read: asRead } = finding.longest;
    const found = `${marksNamed(marks)}, which lie ${mm(apart)} apart in the drawing and ${mm(asRead)} apart as read`;
    throw otherScale(job, found, finding.scale);
  }
  return finding.kind === 'agrees';
};

/** How far marks may lie off the panel, by its longer side: on its offcut, say. */
const besidePanel = 0.1;

/** @throws InputError where typed marks lie off the panel, but on it if its figures are mm */
const checkTyped = (job: Job, panel: Box, scale: AssumedScale): void => {
  const inMillimetres = otherScales(scale).find(({ line }) => line === 'units: mm' || line === 'dpi: 25.4');
  if (inMillimetres === undefined || inMillimetres.ratio < 1) return;
  const isOn = ({ x, y }: Point, times: number): boolean => {
    const [minX, minY, maxX, maxY] = [panel.minX, panel.minY, panel.maxX, panel.maxY].map((v) => v * times);
    const margin = besidePanel * Math.max(maxX! - minX!, maxY! - minY!);
    return x >= minX! - margin && y >= minY! - margin && x <= maxX! + margin && y <= maxY! + margin;
  };
  const typed = job.readings.flatMap(({ mark }) => {
    const source = job.marks?.get(mark);
    return source !== undefined && 'at' in source ? [{ mark, at: source.at }] : [];
  });
  const off = typed.find(({ at }) => !isOn(at, 1));
  if (off === undefined || !typed.every(({ at }) => isOn(at, inMillimetres.ratio))) return;
  const { mark, at } = off;
  throw new InputError({
    found: `mark ${mark} at [${at.x}, ${at.y}], off the panel of the drawing as taken at 96 px to the inch`,
    expected: `marks on the panel, as they are where it is ${inMillimetres.ratio.toPrecision(4)} times as large`,
    where: whereInJob(job, 'drawing'),
    next: `Write "${inMillimetres.line}" into the job if the figures of the drawing are mm. If it is at 96 px to the inch all the same, write "dpi: 96".`,
  });
};

/** @param found what contradicts the scale: a clause */
export const otherScale = (job: Job, found: string, { line, ratio }: OtherScale): InputError =>
  new InputError({
    found: `${found}, with the drawing taken at 96 px to the inch`,
    expected: `distances that agree; they do where the drawing is ${ratio.toPrecision(4)} times as large`,
    where: whereInJob(job, 'drawing'),
    next: `Write "${line}" into the job. If the drawing is at 96 px to the inch all the same, write "dpi: 96" and take the readings again.`,
  });

/** Readings as good as this agree, where no sd is stated: mm rms. Common practice, no source. */
const agreesWithin = 0.5;

/** Whether a fit of touches bears out the scale of its drawing: at another scale the edges do not go through them. */
export const bearsOut = (outcome: FitOutcome): boolean =>
  outcome.ok && outcome.fit.rms <= agreesWithin && outcome.fit.consistency?.consistent !== false;

/** Scales that are tried on touches: each of them takes the time of a fit. */
export const scalesToTry = (scale: AssumedScale): OtherScale[] =>
  otherScales(scale).filter(
    ({ line }) => /^(dpi: (90|72)|units: mm)$/.test(line) || line === mentionedLine(scale),
  );

const mentionedLine = ({ mentioned }: AssumedScale): string | undefined =>
  mentioned && `dpi: ${mentioned.dpi}`;
