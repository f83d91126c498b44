/** Which lines may be joined with each other. */
import type { Shape } from '../drawing.js';
import { strokeOf } from '../selectors.js';

/**
 * Lines are of one kind when they lie in the same layers and are drawn in the same colour: no role by layer or colour tells
 * them apart then. Marks have no kind: two lines that cross are a mark as they are. Neither have shapes that are called by
 * name (the job's marks).
 */
export const kindsBy = (
  isMark: (shape: Shape) => boolean,
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
  return (shape) => {
    if (isMark(shape)) return undefined;
    if (called.size > 0 && (called.has(shape.id) || shape.labels?.some((label) => called.has(label)))) {
      return undefined;
    }
    return `${layersNumber(shape.layers)} ${strokeOf(shape)}`;
  };
};
