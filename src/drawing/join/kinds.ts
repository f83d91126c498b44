/** Which lines may be joined with each other. */

import type { RoleName } from '../claims.js';
import type { Shape } from '../drawing.js';
import { strokeOf } from '../selectors.js';

/**
 * Lines are of one kind when they lie in the same layers, are drawn in the same colour and have the same role, by their own
 * names if not by those. Marks have no kind: two lines that cross are a mark as they are. Neither have shapes that are called by
 * name (the job's marks).
 */
export const kindsBy = (
  rolesOf: (shape: Shape) => readonly RoleName[],
  called: ReadonlySet<string> = new Set(),
): ((shape: Shape) => string | undefined) => {
  const textOf = listText();
  let layers: readonly string[] | undefined;
  let roles: readonly RoleName[] | undefined;
  let stroke = '';
  let last = '';
  return (shape) => {
    const own = rolesOf(shape);
    if (own.includes('marks')) return undefined;
    if (called.size > 0 && (called.has(shape.id) || shape.labels?.some((label) => called.has(label)))) {
      return undefined;
    }
    const drawn = strokeOf(shape);
    if (shape.layers === layers && own === roles && drawn === stroke) return last;
    layers = shape.layers;
    roles = own;
    stroke = drawn;
    last = `${textOf(layers)} ${own.join()} ${drawn}`;
    return last;
  };
};

/** So many lists are remembered: there may be one for every shape, and then each comes once. */
const mostRemembered = 64;

/** A text for each list of names, the same for equal lists and for no others. */
const listText = (): ((names: readonly string[]) => string) => {
  const known = new Map<readonly string[], string>();
  return (names) => {
    let text = known.get(names);
    if (text === undefined) {
      text = '';
      for (const name of names) text += `${name.length}:${name}`;
      if (known.size === mostRemembered) known.clear();
      known.set(names, text);
    }
    return text;
  };
};
