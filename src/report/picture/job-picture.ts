/** The picture of a cut job: the part as it lies on the bed, with what is to be cut. */
import type { CutResult } from '../../cut/cut.js';
import type { FilmPlan } from '../../cut/film/film.js';
import { headline } from '../../cut/findings/finding-words.js';
import { asMeasured } from '../../cut/measured.js';
import type { Shape } from '../../drawing/model/drawing.js';
import type { Fit } from '../../fit/fit.js';
import { turnInWords } from '../../fit/words.js';
import { apply, applyLinear, compose, decompose, type Matrix, translation } from '../../geometry/affine.js';
import { derivativeAt, type Path, startOf, transformPath } from '../../geometry/curve.js';
import { cross, distance, dot, length, type Point, scale } from '../../geometry/point.js';
import type { Job } from '../../job/job.js';
import { faceMatrix, trueToPointerMatrix } from '../../marks/frames.js';
import type { Check } from '../../verdict/check.js';
import { verdictOrder } from '../../verdict/explain.js';
import { degrees } from '../json/fit-json.js';
import { fixed, listed } from '../text/layout.js';
import { largestResidual, readPoints, withArticle } from '../text/read-points.js';
import type {
  PictureDetail,
  PictureFilm,
  PictureFinding,
  PictureInput,
  PictureMark,
  PictureShape,
} from './picture-input.js';

export interface JobInPicture {
  readonly job: Job;
  /** As drawn, as is the outline; what was measured is drawn as it was found. */
  readonly openings: readonly Shape[];
  readonly outline: readonly Shape[];
  readonly fit: Fit;
  readonly cut: CutResult;
  readonly film?: FilmPlan;
  /** What makes it not fit is enlarged. */
  readonly check?: Check;
}

/**
 * Everything as the pointer's display would have it. The beam's paths lie where they burn, not where the machine is
 * sent to burn there: the offset between beam and pointer is taken back.
 */
export const jobPicture = ({ job, fit, cut, film, check, ...drawn }: JobInPicture): PictureInput => {
  const openings = asMeasured(drawn.openings, fit, job.face);
  const outline = asMeasured(drawn.outline, fit, job.face);
  const toDisplay = trueToPointerMatrix(job.machine);
  const place = compose(compose(toDisplay, fit.matrix), faceMatrix(job.face));
  const burnt = translation(job.machine.beamOffset.x, job.machine.beamOffset.y);
  const thinLands = cut.thinLands.map((land) => ({ ...land, at: apply(burnt, land.at) }));
  const placed = openings.map((shape) => placedShape(shape, 'opening', place));
  const width = detailWidth(job);
  const corner = sharpestCorner(placed);
  const details: PictureDetail[] = culpritsIn(check).map(({ id, verdict, worstPoint }) => ({
    at: apply(toDisplay, worstPoint),
    width,
    label: `${verdict === 'does-not-fit' ? 'Does not fit' : 'Too close'}: ${id}`,
  }));
  if (thinLands[0]) details.push({ at: thinLands[0].at, width, land: 0, label: 'The thinnest land' });
  const isShown = (at: Point): boolean => details.some((one) => distance(one.at, at) < width / 2);
  if (corner && !isShown(corner.at))
    details.push({ at: corner.at, width, label: `The sharpest corner: ${corner.id}` });
  return {
    title: job.title ?? job.path,
    caption: caption(job, fit),
    shapes: [
      ...outline.map((shape) => placedShape(shape, 'outline', place)),
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
    ...(cut.findings.length === 0 ? {} : { findings: findingsInPicture(cut, job, burnt) }),
    details,
    ...(film === undefined ? {} : { film: filmInPicture(film) }),
    axes: job.machine.axes,
    kerf: job.cut.kerf,
    ticks: 'display, mm',
  };
};

const mostCulprits = 2;

/** The openings that make a verdict other than "fits", the worst first, where a place of theirs is known. */
const culpritsIn = (check: Check | undefined) =>
  (check?.openings ?? [])
    .flatMap((o) =>
      o.verdict === 'fits' || o.worstPoint === undefined ? [] : [{ ...o, worstPoint: o.worstPoint }],
    )
    .sort(
      (a, b) =>
        verdictOrder.indexOf(b.verdict) - verdictOrder.indexOf(a.verdict) || (b.risk ?? 0) - (a.risk ?? 0),
    )
    .slice(0, mostCulprits);

const placedShape = (shape: Shape, role: 'outline' | 'opening', place: Matrix): PictureShape => ({
  role,
  id: shape.id,
  paths: shape.paths.map((path) => transformPath(place, path)),
});

const findingsInPicture = ({ findings }: CutResult, { cut }: Job, burnt: Matrix): PictureFinding[] =>
  findings.map((finding) => ({ label: headline([finding], cut.kind), at: apply(burnt, finding.at) }));

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

/** Wide enough to see the clearance and what lies beside it. */
const detailWidth = ({ cut }: Job): number => Math.max(1, 16 * Math.max(cut.clearance, cut.kerf));

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
    ...(pierced > 0 ? [`Openings as drawn; pierced ${fixed(pierced, 2)} mm larger.`] : []),
  ];
};

const agreement = (fit: Fit): string[] => {
  if (fit.redundancy === 0) return ['No redundancy: nothing checks the readings.'];
  const { name, size } = largestResidual(fit)!;
  return [`Largest residual ${fixed(size, 2)} mm, at ${name};`, `Redundancy ${fit.redundancy}.`];
};

/** mm; a shorter derivative has no direction: a cubic with its handle drawn in. */
const noDirection = 1e-9;
/** A turn of less than 60 degrees is no corner worth enlarging. */
const cornerTurn = Math.PI / 3;

const sharpestCorner = (shapes: readonly PictureShape[]): { at: Point; id: string } | undefined => {
  let sharpest: { at: Point; id: string } | undefined;
  let most = cornerTurn;
  for (const { id, paths } of shapes) {
    for (const path of paths) {
      for (const { at, turn } of turnsAt(path)) {
        if (turn <= most + 1e-9) continue;
        most = turn;
        sharpest = { at, id: id ?? '' };
      }
    }
  }
  return sharpest;
};

/** How sharply a path turns from each segment into the next, 0 to half a turn. */
const turnsAt = ({ segments, closed }: Path): { at: Point; turn: number }[] =>
  segments.flatMap((s, i) => {
    const before = segments[i === 0 ? segments.length - 1 : i - 1]!;
    if (i === 0 && !closed) return [];
    const [into, out] = [derivativeAt(before, 1), derivativeAt(s, 0)];
    if (length(into) < noDirection || length(out) < noDirection) return [];
    return [{ at: startOf(s), turn: Math.abs(Math.atan2(cross(into, out), dot(into, out))) }];
  });
