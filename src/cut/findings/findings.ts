/** All that a cut does to the piece, from what was found in each neighbourhood. */
import type { Shape } from '../../drawing/model/drawing.js';
import { apply, compose } from '../../geometry/affine.js';
import { startOf } from '../../geometry/curve.js';
import type { Way } from '../cut-neighbourhood.js';
import { type Finding, type FindingCode, findingCodes } from './finding.js';
import { remainsOf } from './remains.js';
import type { Removal } from './removal.js';

export interface PartsInput {
  readonly parts: readonly {
    readonly removal?: Removal;
    readonly findings: readonly Finding[];
    /** Ids of shapes that are drawn as islands. */
    readonly islands: readonly string[];
  }[];
  /** Ids of shapes without a path, in the order of the drawing. */
  readonly lost: readonly string[];
  readonly openings: readonly Shape[];
  readonly way: Pick<Way, 'toBed' | 'toMachine' | 'panel' | 'cut'>;
  /** Something is cut. */
  readonly hasPaths: boolean;
}

/** Display coordinates; in the order of `findingCodes`, then of the drawing. */
export const findingsOfParts = ({ parts, lost, openings, way, hasPaths }: PartsInput): Finding[] => {
  const { toBed, toMachine, panel, cut } = way;
  const removals = parts.flatMap(({ removal }) => (removal === undefined ? [] : [removal]));
  const found = [
    ...parts.flatMap(({ findings }) => findings),
    ...remainsOf(panel, removals, cut.tolerance),
  ].map((finding) => ({ ...finding, at: apply(toMachine, finding.at) }));
  const reported = new Set(found.flatMap(vanishedBy));
  const islands = new Set(lost.length === 0 ? [] : parts.flatMap((part) => part.islands));
  const byId = new Map(openings.map((shape) => [shape.id, shape]));
  const toDisplay = compose(toMachine, toBed);
  for (const id of lost) {
    // Such as enclose nothing as drawn.
    const first = byId.get(id)?.paths[0]?.segments[0];
    if (reported.has(id) || first === undefined) continue;
    found.push({
      code: 'opening-vanished',
      openings: [id],
      at: apply(toDisplay, startOf(first)),
      what: !islands.has(id) ? 'opening' : cut.kind === 'inlay' ? 'hole' : 'island',
    });
  }
  const [one] = found;
  if (!hasPaths && one !== undefined) {
    found.push({ code: 'nothing-left', openings: [...lost], at: one.at, what: 'opening' });
  }
  const place = new Map(openings.map(({ id }, i) => [id, i]));
  const placeOf = ({ openings: [id] }: Finding): number => place.get(id ?? '') ?? 0;
  const rank = (code: FindingCode): number => findingCodes.indexOf(code);
  return found.sort((a, b) => rank(a.code) - rank(b.code) || placeOf(a) - placeOf(b));
};

const vanishedBy = ({ code, openings, vanished = openings }: Finding): readonly string[] =>
  code === 'opening-vanished' ? vanished : [];

/** Ids of the shapes of which, or of a part of which, nothing is cut, in the order of the drawing. */
export const vanishedIn = (findings: readonly Finding[], openings: readonly Shape[]): string[] => {
  const names = new Set(findings.flatMap(vanishedBy));
  return openings.map(({ id }) => id).filter((id) => names.has(id));
};
