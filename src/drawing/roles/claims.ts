/** What the roles of a job want of each shape, and which of them wins. */
import type { RoleEntry } from '../../job/job.js';
import type { Group, Shape } from '../model/drawing.js';
import { hasId, hasLabel, isLikeMadeUp, isPlain, labelsNow } from '../model/shape-store.js';
import { type Paint, type Reach, reachOf, type Selector, strokeOf } from './selectors.js';

export type RoleName = 'marks' | 'outline' | 'openings';

/** What one role takes and what it leaves out. */
export interface Wanted {
  readonly role: RoleName;
  /** As written; the default where the job says nothing. */
  readonly entries: readonly RoleEntry[];
  readonly takes: readonly Selector[];
  readonly leaves: readonly Selector[];
  /** False where what it takes is the default name, which the drawing may lack. */
  readonly stated: boolean;
}

interface Found {
  readonly selector: Selector;
  readonly reach: Exclude<Reach, undefined>;
}

export interface Claim extends Found {
  readonly role: RoleName;
}

/** What the roles want of one shape. */
export interface Claims {
  /** The roles that a shape is selected for, one unless nothing decides between them. */
  readonly claims: readonly Claim[];
  /** Those it is kept out of. */
  readonly refused: readonly RoleName[];
}

/** So many names are compared one by one. */
const fewNames = 8;

/**
 * Says for each shape what the roles want of it. Shapes that bear no name that is asked for differ
 * in nothing but their layers and colours, as far as those are asked for: one after another of the
 * same kind is looked at once.
 *
 * @param used gets every selector that reaches a shape
 */
export const claimsBy = (
  wanted: readonly Wanted[],
  used = new Set<Selector>(),
): ((shape: Shape) => Claims) => {
  const selectors = wanted.flatMap(({ takes, leaves }) => [...takes, ...leaves]);
  const names = new Set(selectors.flatMap(({ by }) => ('name' in by ? [by.name] : [])));
  const few = names.size <= fewNames ? [...names] : undefined;
  const asksFor = (paint: Paint): boolean => selectors.some(({ by }) => 'paint' in by && by.paint === paint);
  const [asksForStroke, asksForFill] = [asksFor('stroke'), asksFor('fill')];
  const asksForMadeUp = [...names].some(isLikeMadeUp);
  const isCalled = (shape: Shape): boolean => {
    if (!asksForMadeUp && isPlain(shape)) return false;
    if (few === undefined) {
      for (const label of labelsNow(shape)) if (names.has(label)) return true;
      return names.has(shape.id);
    }
    for (const name of few) if (hasId(shape, name) || hasLabel(shape, name)) return true;
    return false;
  };
  let layers: readonly string[] | undefined;
  let isInLayer = false;
  let group: Group | undefined;
  let stroke = '';
  let fill: string | undefined;
  let last: Claims | undefined;
  return (shape) => {
    if (isCalled(shape)) return claimsOn(shape, wanted, used);
    const own = asksForStroke ? strokeOf(shape) : '';
    const area = asksForFill ? shape.fill : undefined;
    const { layers: around } = shape;
    if (around !== layers) {
      layers = around;
      const wasInLayer = isInLayer;
      isInLayer = around.some((layer) => names.has(layer));
      if (isInLayer || wasInLayer) last = undefined;
    }
    if (last !== undefined && own === stroke && area === fill && (!isInLayer || shape.group === group))
      return last;
    group = shape.group;
    stroke = own;
    fill = area;
    last = claimsOn(shape, wanted, used);
    return last;
  };
};

const claimsOn = (shape: Shape, wanted: readonly Wanted[], used: Set<Selector>): Claims => {
  const claims: Claim[] = [];
  const refused: RoleName[] = [];
  for (const { role, takes, leaves } of wanted) {
    const taken = nearest(takes, shape, used);
    const left = nearest(leaves, shape, used);
    if (left !== undefined && !(taken?.reach === 0 && left.reach !== 0)) refused.push(role);
    else if (taken !== undefined) claims.push({ role, ...taken });
  }
  return { claims: strongest(claims), refused };
};

/** The selector nearest to a shape; its own name, then its colour, then the layers around it. */
const nearest = (selectors: readonly Selector[], shape: Shape, used: Set<Selector>): Found | undefined => {
  let best: Found | undefined;
  for (const selector of selectors) {
    const reach = reachOf(selector, shape);
    if (reach === undefined) continue;
    used.add(selector);
    if (best === undefined || rank(reach) < rank(best.reach)) best = { selector, reach };
  }
  return best;
};

const rank = (reach: Exclude<Reach, undefined>): number => (reach === 'colour' ? 0.5 : reach);

/**
 * The claim that counts; several where nothing decides between them. A colour and a layer are
 * equally near to a shape.
 */
const strongest = (claims: readonly Claim[]): readonly Claim[] => {
  if (claims.length < 2) return claims;
  const least = Math.min(...claims.map(({ reach }) => rank(reach)));
  return least === rank('colour') ? claims : claims.filter(({ reach }) => rank(reach) === least);
};
