/** The verdict as the sheet says it, and the three places that decide it. */
import {
  type Check,
  checkJson,
  cutOpenings,
  doubtIn,
  doubtWord,
  type Finding,
  type Fit,
  findingsOfJob,
  firstStep,
  judgeAt,
  judgedFit,
  type LoadedJob,
  type Matrix,
  nextStep,
  type Point,
  pathData,
  placedEdges,
  type Shape,
  trueToMachineMatrix,
  trueToPointer,
  type Verdict,
  verdictWords,
  type Warning,
} from '../../internal.js';
import { apply, applyLinear, compose, ellipseOf, inverse, mapped, shift } from '../drawn/matrix.js';
import { fixed, lowerFirst, upperFirst } from '../text.js';
import type { Answer, Detail, Judged, OpeningView } from './answers.js';
import { isIn } from './view-drawing.js';
import { displayOf, ellipseAt, placeOf } from './view-placed.js';

const verdictOrder: readonly Verdict[] = ['fits', 'too-close', 'does-not-fit'];

export const judgedView = (
  loaded: LoadedJob,
  done: { check: Check; fit: Fit; fitWarnings: readonly Warning[]; warnings: readonly Warning[] },
  applied: Matrix,
): Judged => {
  const { job } = loaded;
  const { check, warnings } = done;
  const step = nextStep(check, warnings);
  const json = checkJson(job, done);
  const doubt = step.kind === 'settle' ? step.doubt : undefined;
  const onDisplay = trueToPointer(job.machine);
  const { byFigures } = check;
  const explanation =
    doubt === undefined
      ? check.explanation
      : `${upperFirst(firstStep(doubt))}. As typed: ${lowerFirst(verdictWords[check.verdict])}; ${lowerFirst((byFigures ?? check).explanation)}`;
  return {
    json,
    word: doubt === undefined ? verdictWords[check.verdict] : doubtWord(doubt),
    explanation,
    asTyped: verdictWords[(check.byFigures ?? check).verdict],
    rests: doubt === undefined ? restsMost(check, job.cut.kind === 'as-drawn') : undefined,
    saysAssumption: (check.assumptions ?? []).some(
      ({ turnsAt, controlled }) => turnsAt !== undefined && !controlled,
    ),
    openings: openingsOf(check),
    details: doubt !== undefined && doubt.marks.length > 0 ? [] : detailsOf(loaded, done.fit, check, applied),
    witness: step.witness.map(({ opening, kind, design, at, allowedMiss, shows }) => ({
      opening,
      what: kind === 'hole' ? 'centre' : kind,
      design: [design.x, design.y] as const,
      at: onDisplay(at),
      allowed: allowedMiss,
      shows,
    })),
    next: nextWords(step, check),
    advice: json.advice.map(({ message, set }) => ({ message, set })),
    proven: step.kind === 'cut',
    warnings,
  };
};

const openingsOf = (check: Check): OpeningView[] =>
  check.openings.map(({ id, verdict, neededClearance }) => ({ id, verdict, needed: neededClearance }));

const nextWords = (step: ReturnType<typeof nextStep>, check: Check): string => {
  if (step.kind === 'settle') return `${upperFirst(firstStep(step.doubt))}. Cut nothing before that.`;
  const [first] = step.witness;
  if (step.kind === 'cut')
    return first === undefined
      ? 'Cut it.'
      : `Drive to w1, beam off. Does it stand${first.allowedMiss === undefined ? '' : ` within ${fixed(first.allowedMiss, 2)} mm`} of the ${first.kind === 'corner' ? 'tip' : first.kind === 'hole' ? 'centre' : 'end'}?`;
  return check.advice[0]?.message ?? 'See the cautions, and correct the job.';
};

/** The reading in which a mistake could hide that costs most; nothing where the verdict's own sentence says what it rests on. */
const restsMost = (
  { reliability, proviso, objections = [] }: Check,
  asDrawn: boolean,
): string | undefined => {
  if (proviso !== undefined || objections.some(({ kind }) => kind === 'unchecked')) return undefined;
  const [worst] = [...reliability].sort((a, b) => (b.approach ?? 0) - (a.approach ?? 0));
  if (worst?.approach === undefined || worst.smallestDetectable === undefined) return undefined;
  return `Rests most on ${worst.touch ? '' : 'mark '}${worst.mark}: ${fixed(worst.smallestDetectable, 2)} mm wrong there could hide, and would cost ${fixed(worst.approach, 2)} mm of the ${asDrawn ? 'deviation' : 'clearance'}.`;
};

/** The check at another clearance, a little rougher; nothing else of the job is worked out again. */
export const slidView = (
  loaded: LoadedJob,
  clearance: number,
  fitted: Parameters<typeof judgeAt>[2],
  fit: Fit,
  warnings: readonly Warning[],
): Answer => {
  const findings = findingsOfJob(loaded, fit, clearance);
  const check = judgeAt(loaded, clearance, fitted, fit, warnings, findings);
  const doubt = doubtIn(warnings);
  return {
    stage: 'slid',
    verdict: check.verdict,
    word: doubt === undefined ? verdictWords[check.verdict] : doubtWord(doubt),
    explanation: check.explanation,
    openings: openingsOf(check),
  };
};

interface Place {
  readonly id: string;
  readonly says: string;
  /** True bed mm. */
  readonly at: Point;
  readonly needed: number | undefined;
  readonly finding: boolean;
}

const findingWords: Partial<Record<Warning['code'], string>> = {
  'nothing-left': 'nothing left',
  'breaks-edge': 'breaks the edge',
  'falls-loose': 'falls loose',
  'piece-splits': 'splits',
  'openings-merged': 'run together',
  'opening-vanished': 'vanishes',
  'outside-outline': 'outside the panel',
};

const mostPlaces = 3;

/** The place that decides first: what the cut spoils, then what does not fit, then what needs most. */
const placesOf = ({ job }: LoadedJob, check: Check, findings: readonly Finding[]): Place[] => {
  const toTrue = (p: Point): Point => apply(inverse(displayOf(job)), p);
  const decides = check.objections?.some(({ kind }) => kind === 'spoiled') ?? false;
  const spoiled = decides
    ? findings.map(
        ({ code, openings, at }): Place => ({
          id: openings.join(' + '),
          says: findingWords[code] ?? code,
          at: toTrue(at),
          needed: undefined,
          finding: true,
        }),
      )
    : [];
  const size = (o: Check['openings'][number]): number => o.neededClearance ?? check.clearance - o.margin;
  const rank = ({ verdict }: Check['openings'][number]): number => verdictOrder.indexOf(verdict);
  const needy = [...check.openings]
    .sort((a, b) => rank(b) - rank(a) || size(b) - size(a))
    .flatMap((o): Place[] =>
      o.worstPoint === undefined
        ? []
        : [{ id: o.id, says: '', at: o.worstPoint, needed: o.neededClearance, finding: false }],
    );
  const chosen: Place[] = [];
  for (const place of [...spoiled, ...needy]) {
    if (chosen.length === mostPlaces) break;
    if (chosen.some(({ at }) => Math.hypot(at.x - place.at.x, at.y - place.at.y) < 0.5)) continue;
    chosen.push(place);
  }
  return chosen;
};

/** Half of the widest detail, px: what has to be seen round the place. */
const halfWidth = 122;
const usualScale = 40;

const detailsOf = (loaded: LoadedJob, fit: Fit, check: Check, applied: Matrix): Detail[] => {
  const { job, edges, roles } = loaded;
  const place = placeOf(job, fit);
  const display = displayOf(job);
  const findings = check.objections?.some(({ kind }) => kind === 'spoiled') ? findingsOfJob(loaded, fit) : [];
  const appliedPlace = compose(compose(display, applied), faceOf(job.face));
  return placesOf(loaded, check, findings).map(({ id, says, at, needed, finding }): Detail => {
    const there = trueToPointer(job.machine)(at);
    const own = edges.find((shape) => shape.id === id) ?? nearestShape(edges, place, there);
    const normal = normalAt(loaded, fit, own === undefined ? [] : [own], at);
    const onPage = applyLinear(display, normal);
    const frame = frameAt(there, onPage, job.machine.axes);
    const design = apply(inverse(place), there);
    const faced = job.face === 'down' ? { x: -design.x, y: design.y } : design;
    const judged = judgedFit(job, fit);
    const ellipse = localEllipse(loaded, judged, faced, frame);
    const moved = apply(compose(frame, compose(appliedPlace, inverse(place))), there);
    const isDisplaced = Math.hypot(moved.x, moved.y) > 0.005;
    const widest = Math.max(
      needed ?? 0,
      check.clearance,
      Math.hypot(moved.x, moved.y) + check.clearance,
      ellipse?.long ?? 0,
    );
    const pxPerMm = [40, 20, 10, 5, 2, 1, 0.5, 0.2, 0.1].find((s) => widest * s <= 0.62 * halfWidth) ?? 0.05;
    const reach = (halfWidth * 1.5) / pxPerMm;
    const near = edges.filter((shape) => isNear(shape, design, reach));
    return {
      id,
      says,
      at: there,
      needed,
      ellipse,
      ellipseOnPlan: ellipseAt(job, judged, faced, job.check.cutSd ** 2),
      pxPerMm: Math.min(usualScale, pxPerMm),
      edges: near.map((shape) => ({
        own: shape === own,
        d: shape.paths.map((path) => pathData(path, compose(frame, place), 4)).join(''),
      })),
      outline: roles.outline
        .filter((shape) => isNear(shape, design, reach))
        .map((shape) => shape.paths.map((path) => pathData(path, compose(frame, place), 4)).join(''))
        .join(''),
      frame,
      displaced: isDisplaced ? moved : undefined,
      finding,
    };
  });
};

const faceOf = (face: 'up' | 'down'): Matrix => (face === 'down' ? [-1, 0, 0, 1, 0, 0] : [1, 0, 0, 1, 0, 0]);

const isNear = (shape: Shape, at: Point, reach: number): boolean =>
  shape.paths.some((path) => {
    let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
    for (const s of path.segments) {
      const points: Point[] =
        s.kind === 'line'
          ? [s.from, s.to]
          : s.kind === 'cubic'
            ? [s.from, s.control1, s.control2, s.to]
            : s.kind === 'arc'
              ? [
                  { x: s.centre.x - s.radius, y: s.centre.y - s.radius },
                  { x: s.centre.x + s.radius, y: s.centre.y + s.radius },
                ]
              : [
                  {
                    x: s.centre.x - Math.hypot(s.u.x, s.v.x),
                    y: s.centre.y - Math.hypot(s.u.y, s.v.y),
                  },
                  {
                    x: s.centre.x + Math.hypot(s.u.x, s.v.x),
                    y: s.centre.y + Math.hypot(s.u.y, s.v.y),
                  },
                ];
      for (const { x, y } of points) {
        minX = Math.min(minX, x);
        minY = Math.min(minY, y);
        maxX = Math.max(maxX, x);
        maxY = Math.max(maxY, y);
      }
    }
    return isIn({ minX, minY, maxX, maxY }, at, reach);
  });

const nearestShape = (edges: readonly Shape[], place: Matrix, at: Point): Shape | undefined => {
  const design = apply(inverse(place), at);
  return edges.find((shape) => isNear(shape, design, 0)) ?? edges[0];
};

/** The direction from the existing edge to the new one, on the bed; at a corner the middle of its two. */
const normalAt = ({ job }: LoadedJob, fit: Fit, shapes: readonly Shape[], at: Point): Point => {
  if (job.cut.kind === 'as-drawn' || shapes.length === 0) return { x: 1, y: 0 };
  const [edge] = placedEdges(shapes, compose(fit.matrix, faceOf(job.face)), {
    kind: job.cut.kind,
    corners: job.cut.corners,
    mitreLimit: job.cut.mitreLimit,
    pierced: job.pierced.compensated ? 0 : job.pierced.kerf / 2,
    tools: { beam: job.cut.kerf / 2, piercing: job.pierced.kerf / 2, clearance: job.cut.clearance },
  });
  if (edge === undefined || edge.x.length === 0) return { x: 1, y: 0 };
  let nearest = Infinity;
  for (let i = 0; i < edge.x.length; i++)
    nearest = Math.min(nearest, Math.hypot(edge.x[i]! - at.x, edge.y[i]! - at.y));
  let [x, y] = [0, 0];
  for (let i = 0; i < edge.x.length; i++) {
    if (Math.hypot(edge.x[i]! - at.x, edge.y[i]! - at.y) > nearest + 1e-6) continue;
    x += edge.normalX[i]!;
    y += edge.normalY[i]!;
  }
  const size = Math.hypot(x, y);
  return size < 1e-9 ? { x: 1, y: 0 } : { x: x / size, y: y / size };
};

/** Display coordinates to a frame on the page whose x runs along the normal and whose y runs down it; nothing is mirrored. */
const frameAt = (at: Point, normal: Point, axes: 'y-up' | 'y-down'): Matrix => {
  const flip: Matrix = axes === 'y-up' ? [1, 0, 0, -1, 0, 0] : [1, 0, 0, 1, 0, 0];
  const n = applyLinear(flip, normal);
  const size = Math.hypot(n.x, n.y);
  const [c, s] = [n.x / size, n.y / size];
  const turn: Matrix = [c, -s, s, c, 0, 0];
  return compose(compose(turn, flip), shift(-at.x, -at.y));
};

const localEllipse = ({ job }: LoadedJob, fit: Fit, design: Point, frame: Matrix): Detail['ellipse'] => {
  // The same as on the plan, turned into the frame of the detail: the cut's own scatter counts there as well.
  const onPlan = ellipseAt(job, fit, design, job.check.cutSd ** 2);
  if (onPlan === undefined) return undefined;
  const { long, short, angle } = onPlan;
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const [l, w] = [long * long, short * short];
  const covariance = { xx: c * c * l + s * s * w, xy: c * s * (l - w), yy: s * s * l + c * c * w };
  return ellipseOf(mapped(covariance, frame), 1);
};

/** More segments take longer than anyone waits for a tick on a rule. */
const mostSegments = 4000;
/** Lands wider than so many mm are no concern of a set-back. */
const widestLand = 12;

/** The clearance at which the thinnest land between the openings is gone. */
export const goneAt = (loaded: LoadedJob, fit: Fit): number | undefined => {
  const { job, edges, roles } = loaded;
  if (job.cut.kind !== 'opening') return undefined;
  let count = 0;
  for (const shape of edges) for (const path of shape.paths) count += path.segments.length;
  if (count > mostSegments) return undefined;
  // Small enough that no land is gone yet.
  const clearance = 0.01;
  const { thinLands } = cutOpenings({
    openings: edges,
    outline: roles.outline,
    toBed: compose(fit.matrix, faceOf(job.face)),
    toMachine: trueToMachineMatrix(job.machine),
    pierced: job.pierced,
    cut: { ...job.cut, clearance, smallestLand: widestLand },
  });
  const outlines = new Set(roles.outline.map(({ id }) => id));
  const least = Math.min(
    ...thinLands.map(({ between, width }) =>
      between.some((id) => outlines.has(id)) ? clearance + width : clearance + width / 2,
    ),
  );
  return Number.isFinite(least) ? least : undefined;
};
