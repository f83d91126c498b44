/** The picture of a cut job: the part as it lies on the bed, with what is to be cut. */

import type { CutResult } from '../../../cut/cut.js';
import type { FilmPlan } from '../../../cut/film/film.js';
import { headline } from '../../../cut/findings/finding-words.js';
import { asMeasured } from '../../../cut/measured.js';
import type { Shape } from '../../../drawing/model/drawing.js';
import type { Fit } from '../../../fit/fit.js';
import { turnInWords } from '../../../fit/words.js';
import {
  apply,
  applyLinear,
  compose,
  decompose,
  type Matrix,
  translation,
} from '../../../geometry/affine.js';
import { transformPath } from '../../../geometry/curve.js';
import { type Point, scale } from '../../../geometry/point.js';
import type { Job } from '../../../job/job.js';
import { faceMatrix, trueToPointerMatrix } from '../../../marks/frames.js';
import type { Check } from '../../../verdict/check-result.js';
import { degrees } from '../../json/fit-json.js';
import { verdictWords } from '../../text/check-text.js';
import { fixed, listed } from '../../text/layout.js';
import { largestResidual, readPoints, withArticle } from '../../text/read-points.js';
import type {
  PictureFilm,
  PictureFinding,
  PictureInput,
  PictureMark,
  PictureShape,
  PictureVerdict,
  PictureWitness,
} from '../picture-input.js';
import { detailsInPicture } from './places.js';

export interface JobInPicture {
  readonly job: Job;
  /** As drawn, as is the outline; what was measured is drawn as it was found. */
  readonly openings: readonly Shape[];
  readonly outline: readonly Shape[];
  readonly fit: Fit;
  readonly cut: CutResult;
  readonly film?: FilmPlan;
  /** Whether it fits; the place that decides is enlarged. */
  readonly check?: Check;
  /** Why it is not proven, a sentence. */
  readonly unproven?: string;
}

/**
 * Everything as the pointer's display would have it. The beam's paths lie where they burn, not
 * where the machine is sent to burn there: the offset between beam and pointer is taken back.
 */
export const jobPicture = ({
  job,
  fit,
  cut,
  film,
  check,
  unproven,
  ...drawn
}: JobInPicture): PictureInput => {
  const openings = asMeasured(drawn.openings, fit, job.face);
  const outline = asMeasured(drawn.outline, fit, job.face);
  const toDisplay = trueToPointerMatrix(job.machine);
  const place = compose(compose(toDisplay, fit.matrix), faceMatrix(job.face));
  const burnt = translation(job.machine.beamOffset.x, job.machine.beamOffset.y);
  const thinLands = cut.thinLands.map((land) => ({ ...land, at: apply(burnt, land.at) }));
  const verdicts = new Map(check?.openings.map((o) => [o.id, o.verdict]));
  const judged = (shape: Shape, role: 'outline' | 'opening'): PictureShape => {
    const verdict = verdicts.get(shape.id) ?? 'fits';
    return { ...placedShape(shape, role, place), ...(verdict === 'fits' ? {} : { verdict }) };
  };
  const placed = openings.map((shape) => judged(shape, 'opening'));
  const edges = outline.map((shape) => judged(shape, 'outline'));
  const findings = findingsInPicture(cut, job, burnt);
  const verdict = verdictInPicture(job, check, unproven);
  const pierced = job.pierced.compensated ? 0 : job.pierced.kerf / 2;
  const witness = witnessInPicture(check, toDisplay);
  return {
    title: job.title ?? job.path,
    ...(verdict === undefined ? {} : { verdict }),
    caption: caption(job, fit),
    shapes: [
      ...edges,
      ...placed,
      ...cut.paths.map(({ openings: ids, segments, open = false }): PictureShape => {
        return {
          role: 'beam',
          id: ids.join(' + '),
          paths: [transformPath(burnt, { segments, closed: !open })],
        };
      }),
    ],
    marks: marksInPicture(fit, toDisplay),
    thinLands,
    ...(findings.length === 0 ? {} : { findings }),
    details: detailsInPicture({ job, check, findings, thinLands, placed, edges, toDisplay }),
    ...(witness.length === 0 ? {} : { witness }),
    bed: job.machine.size === undefined ? {} : { size: job.machine.size },
    ...(film === undefined ? {} : { film: filmInPicture(film) }),
    axes: job.machine.axes,
    kerf: job.cut.kerf,
    ...(pierced > 0 ? { pierced } : {}),
    ticks: 'display, mm',
  };
};

const verdictInPicture = (
  { cut }: Job,
  check: Check | undefined,
  unproven: string | undefined,
): PictureVerdict | undefined => {
  if (check === undefined) return undefined;
  const { verdict, explanation, clearance, neededClearance } = check;
  const isProven = unproven === undefined;
  return {
    head: isProven || verdict !== 'fits' ? verdictWords[verdict] : 'Not proven',
    text: isProven || verdict !== 'fits' ? explanation : unproven,
    given: clearance,
    word: cut.kind === 'as-drawn' ? 'allowed' : 'given',
    ...(neededClearance === undefined ? {} : { needed: neededClearance }),
  };
};

const witnessInPicture = (check: Check | undefined, toDisplay: Matrix): PictureWitness[] =>
  // While a reading is in doubt they would be off by as much as it is.
  (check?.objections?.some(({ kind }) => kind === 'doubt') ? [] : (check?.witness ?? [])).map(
    ({ opening, kind, at, allowedMiss }, i) => ({
      name: `w${i + 1}`,
      at: apply(toDisplay, at),
      what: kind === 'corner' ? opening : `${opening}, ${kind === 'hole' ? 'centre' : 'end'}`,
      ...(allowedMiss === undefined ? {} : { allowed: allowedMiss }),
    }),
  );

const placedShape = (shape: Shape, role: 'outline' | 'opening', place: Matrix): PictureShape => ({
  role,
  id: shape.id,
  paths: shape.paths.map((path) => transformPath(place, path)),
});

const findingsInPicture = ({ findings }: CutResult, { cut }: Job, burnt: Matrix): PictureFinding[] =>
  findings.map((finding) => ({
    label: headline([finding], cut.kind),
    at: apply(burnt, finding.at),
    ...(finding.size === undefined ? {} : { width: 1.5 * Math.max(...finding.size) }),
  }));

const filmInPicture = ({ strips, seams, width, overlap, length }: FilmPlan): PictureFilm => {
  const crossed = [...new Set(seams.flatMap((seam) => seam.crosses))];
  const through = crossed.length === 0 ? '' : ` Seams cross ${listed(crossed)}.`;
  return {
    strips: strips.map(({ corners }) => corners),
    seams: seams.map(({ corners }) => corners),
    label: `${width} mm wide, overlap ${overlap} mm, ${fixed(length / 1000, 2)} m in all.${through}`,
  };
};

const marksInPicture = (fit: Fit, toDisplay: Matrix): PictureMark[] => {
  const shown = (residual: Point) =>
    fit.redundancy === 0 ? {} : { residual: applyLinear(toDisplay, residual) };
  return [
    ...fit.marks.map(({ mark, fitted, residual }) => ({
      name: mark,
      at: apply(toDisplay, fitted),
      ...shown(residual),
    })),
    ...(fit.touches ?? []).map(({ foot, residual, normal }, i) => ({
      name: String(i + 1),
      kind: 'touch' as const,
      at: apply(toDisplay, foot),
      ...shown(scale(normal, residual)),
    })),
  ];
};

/** Lines that fit the column as they are. */
const caption = (job: Job, fit: Fit): string[] => {
  const turn = turnInWords(degrees(decompose(fit.matrix).rotation), 3);
  const { kind, clearance } = job.cut;
  const pierced = job.pierced.compensated ? 0 : job.pierced.kerf / 2;
  return [
    ...(fit.unplaced
      ? ['Cut where they are drawn,', 'from a board of their own.']
      : [
          `Placed by ${withArticle(fit.model)} fit to ${readPoints(fit)}:`,
          `turned by ${turn},`,
          `shifted by ${fixed(fit.matrix[4], 2)}, ${fixed(fit.matrix[5], 2)} mm.`,
          ...agreement(fit),
        ]),
    kind === 'as-drawn'
      ? 'Cut again as drawn.'
      : kind === 'opening'
        ? `New edges ${clearance} mm outside the existing ones.`
        : `Inlays ${clearance} mm smaller than their openings.`,
    ...(pierced > 0 ? [`Shown ${fixed(pierced, 2)} mm larger, as pierced.`] : []),
  ];
};

const agreement = (fit: Fit): string[] => {
  if (fit.redundancy === 0) return ['No redundancy: nothing checks the readings.'];
  const { name, size } = largestResidual(fit)!;
  return [`Largest residual ${fixed(size, 2)} mm, at ${name};`, `redundancy ${fit.redundancy}.`];
};
