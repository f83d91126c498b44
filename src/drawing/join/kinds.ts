/** Which lines may be joined with each other. */
import type { Shape } from '../drawing.js';
import type { RoleName } from '../roles.js';
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
  const numbers = new Map<string, number>();
  const ofLayers = new Map<readonly string[], number>();
  const layersNumber = (layers: readonly string[]): number => {
    let known = ofLayers.get(layers);
    if (known === undefined) {
      const text = JSON.stringify(layers);
      known = numbers.get(text) ?? numbers.size;
      numbers.set(text, known);
      ofLayers.set(layers, known);
    }
    return known;
  };
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
    last = `${layersNumber(layers)} ${own.join()} ${drawn}`;
    return last;
  };
};
