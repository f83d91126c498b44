/** The risk with part of the approach known, and with bounded common errors at their worst. */
import type { Matrix } from '../../geometry/affine.js';
import type { Edge } from '../edges/edge.js';
import type { EdgeIndex } from '../edges/edge-index.js';
import { knownApproach } from '../edges/known-approach.js';
import { edgeVariances, type WorstPoint } from '../edges/worst-point.js';
import { ConditionalRisk, type KnownPart } from './conditional-risk.js';
import { type Displacement, nothingMoved } from './displacement.js';
import { type Draws, firstDraws } from './draws.js';
import type { ErrorField } from './error-field.js';
import {
  type Bounded,
  displacementAt,
  hasBounds,
  keyOf,
  nothingBounded,
  type Vertex,
  verticesOf,
} from './vertices.js';

export interface AtWorstInput {
  readonly edges: readonly Edge[];
  readonly indexes: readonly EdgeIndex[];
  readonly field: ErrorField;
  readonly draws: Draws;
  /** mm. */
  readonly clearance: number;
  readonly acceptedRisk: number;
  readonly systematic?: Matrix;
  readonly bounded?: Bounded;
  readonly worst: readonly (WorstPoint | undefined)[];
}

interface Judged {
  readonly risk: number;
  readonly neededClearance: number;
}

/** With so many draws vertices are compared; the worst one is then taken with all. */
const fewDraws = 256;
/** Openings that need less than this share of what the worst one seems to need are judged with few draws at one vertex. */
const farFromWorst = 0.7;
/** Vertices tried of an opening, and of the job. */
const mostVertices = 6;

export const assessAtWorst = (input: AtWorstInput): Judged & { readonly openings: readonly Judged[] } => {
  const vertices = verticesPerEdge(input);
  const rough = input.worst.map((w) => (w === undefined ? 0 : w.systematic + 2 * w.predictedError));
  const largest = Math.max(0, ...rough);
  const isMany = input.edges.length > 100;
  const chosen = input.edges.map((_, i): { vertex: Vertex | undefined; judged: Judged } => {
    const isFar = isMany && rough[i]! < farFromWorst * largest;
    const choice = isFar ? vertices[i]!.slice(0, 1) : vertices[i]!;
    return judge(input, [i], choice, isFar ? firstDraws(input.draws, fewDraws) : input.draws);
  });
  const openings = chosen.map((c) => c.judged);
  const job = judgeJob(
    input,
    chosen.map(({ vertex, judged }) => ({ vertex, needed: judged.neededClearance })),
  );
  return {
    ...job,
    // Not the same draws everywhere, so an opening could come out a hair worse than the job.
    openings: openings.map((o) => ({
      risk: Math.min(o.risk, job.risk),
      neededClearance: Math.min(o.neededClearance, job.neededClearance),
    })),
  };
};

export const neededAtWorst = (input: Omit<AtWorstInput, 'clearance'>): number => {
  // Vertices are ranked by the sds left at about the clearance that comes out.
  const rough = input.worst.map((w) => (w === undefined ? 0 : w.systematic + 2 * w.predictedError));
  const whole = { ...input, clearance: Math.max(0, ...rough) };
  const vertices = verticesPerEdge(whole);
  const order = byNeed(rough.map((needed, i) => ({ vertex: vertices[i]![0], needed })));
  const first = order[0] === undefined ? [] : vertices[order[0].i]!.slice(0, 2);
  const tried = distinctVertices([...first, order[1]?.vertex]).filter((vertex) => vertex !== undefined);
  return judge(
    whole,
    order.map(({ i }) => i),
    tried,
    input.draws,
    quickly,
  ).judged.neededClearance;
};

/** How thoroughly vertices are compared, and whether the risk is asked for as well. */
interface Thoroughness {
  readonly fewDraws: number;
  readonly fewPassing: number;
  readonly passing: number;
  readonly withRisk: boolean;
}

const thoroughly: Thoroughness = { fewDraws, fewPassing: 1e-3, passing: 1e-4, withRisk: true };
const quickly: Thoroughness = { fewDraws: 128, fewPassing: 1e-2, passing: 1e-3, withRisk: false };

const verticesPerEdge = (input: AtWorstInput): Vertex[][] => {
  const { edges, field, clearance, bounded = nothingBounded } = input;
  if (!hasBounds(bounded)) return edges.map(() => []);
  const variancesOf = edgeVariances(edges, field);
  const known = knownOf(input);
  return edges.map((edge) => verticesOf(edge, variancesOf(edge), clearance, known, bounded, mostVertices));
};

const knownOf = ({ systematic }: AtWorstInput): Displacement =>
  systematic === undefined ? nothingMoved : { matrix: systematic };

const partsAt = (input: AtWorstInput, which: readonly number[], vertex: Vertex | undefined): KnownPart[] => {
  const known = knownOf(input);
  const displacement =
    vertex === undefined ? known : displacementAt(known, input.bounded ?? nothingBounded, vertex);
  return which.map((i) => {
    const index = input.indexes[i]!;
    return { index, known: knownApproach(index, input.edges[i]!, displacement) };
  });
};

const judge = (
  input: AtWorstInput,
  which: readonly number[],
  vertices: readonly Vertex[],
  draws: Draws,
  how = thoroughly,
): { vertex: Vertex | undefined; judged: Judged } => {
  let guess = 0;
  let step = 0;
  for (const i of which) {
    const w = input.worst[i];
    if (w === undefined) continue;
    guess = Math.max(guess, w.systematic + 2 * w.predictedError);
    step = Math.max(step, w.predictedError);
  }
  const { acceptedRisk, clearance } = input;
  let vertex = vertices[0];
  if (vertices.length > 1 && step > 0) {
    const few = draws.count > how.fewDraws ? firstDraws(draws, how.fewDraws) : draws;
    let most = -1;
    const compared: { readonly vertex: Vertex; readonly needed: number }[] = [];
    const tryEach = (each: Vertex): void => {
      const needed = new ConditionalRisk(partsAt(input, which, each), few).needed(
        acceptedRisk,
        guess,
        step / 2,
        how.fewPassing,
      );
      compared.push({ vertex: each, needed });
      if (needed <= most) return;
      most = needed;
      vertex = each;
    };
    for (const each of vertices) tryEach(each);
    // A shift to any side is worst between the normals of the edges that are touched.
    if (how.withRisk && (input.bounded?.anyDirection ?? 0) > 0)
      for (const by of sideways) for (const each of turnedBoth(vertex, by)) tryEach(each);
    guess = most;
    if (which.length > 1 && how.withRisk && few !== draws) {
      // Few draws leave open which of the worst ones it is.
      const finalists = compared
        .filter(({ needed }) => needed > nearlyWorst * most)
        .sort((a, b) => b.needed - a.needed)
        .filter(
          ({ vertex: { signs, direction } }, i, sorted) =>
            !sorted.slice(0, i).some(isNeighbour(signs, direction)),
        )
        .slice(0, mostFinalists);
      const found = finalists.map((one) => {
        const whole = new ConditionalRisk(partsAt(input, which, one.vertex), draws);
        const needed = whole.needed(acceptedRisk, guess, step / 2, how.passing);
        return { vertex: one.vertex, judged: { risk: whole.risk(clearance), neededClearance: needed } };
      });
      return found.reduce((a, b) => (b.judged.neededClearance > a.judged.neededClearance ? b : a));
    }
  } else if (vertices.length > 1) {
    vertex = deepest(input, which, vertices);
  }
  const whole = new ConditionalRisk(partsAt(input, which, vertex), draws);
  const risk = how.withRisk ? whole.risk(clearance) : Number.NaN;
  return {
    vertex,
    judged: { risk, neededClearance: whole.needed(acceptedRisk, guess, step / 2, how.passing) },
  };
};

/** Share of the most that few draws find, above which a vertex is judged with all draws; and how many of them. */
const nearlyWorst = 0.97;
const mostFinalists = 3;

/** The same signs, and a direction to the same side. */
const isNeighbour =
  (signs: readonly number[], { x, y }: Vertex['direction']) =>
  ({ vertex }: { readonly vertex: Vertex }): boolean =>
    vertex.signs.join() === signs.join() &&
    ((x === 0 && y === 0) || vertex.direction.x * x + vertex.direction.y * y > 0);

/** Turns of a direction that are tried, radians. */
const sideways = [Math.PI / 8, Math.PI / 16];

const turnedBoth = (vertex: Vertex | undefined, by: number): Vertex[] =>
  vertex === undefined
    ? []
    : [by, -by].map((angle): Vertex => {
        const [c, s] = [Math.cos(angle), Math.sin(angle)];
        const { x, y } = vertex.direction;
        return { ...vertex, direction: { x: c * x - s * y, y: s * x + c * y } };
      });

/** Without any random error: the vertex that takes most. */
const deepest = (
  input: AtWorstInput,
  which: readonly number[],
  vertices: readonly Vertex[],
): Vertex | undefined => {
  let most = Number.NEGATIVE_INFINITY;
  let chosen = vertices[0];
  for (const vertex of vertices) {
    const floor = Math.max(...partsAt(input, which, vertex).map(({ known }) => known.floor));
    if (floor <= most) continue;
    most = floor;
    chosen = vertex;
  }
  return chosen;
};

interface Need {
  readonly vertex: Vertex | undefined;
  /** mm, or a number in the same order. */
  readonly needed: number;
}

/** The openings that need most first: what comes after them is ruled out at a glance. */
const byNeed = (needs: readonly Need[]): (Need & { readonly i: number })[] =>
  needs.map((need, i) => ({ ...need, i })).sort((a, b) => b.needed - a.needed);

const distinctVertices = (vertices: readonly (Vertex | undefined)[]): (Vertex | undefined)[] => {
  const seen = new Map<string, Vertex | undefined>();
  for (const vertex of vertices) seen.set(vertex === undefined ? '' : keyOf(vertex), vertex);
  return [...seen.values()];
};

const judgeJob = (input: AtWorstInput, needs: readonly Need[]): Judged => {
  const order = byNeed(needs);
  const tried = distinctVertices(order.slice(0, mostVertices).map(({ vertex }) => vertex));
  const vertices = tried.filter((vertex) => vertex !== undefined);
  return judge(
    input,
    order.map(({ i }) => i),
    vertices,
    input.draws,
  ).judged;
};
