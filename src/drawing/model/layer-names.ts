/** The names of the groups around a shape. */
import type { Group } from './drawing.js';

/**
 * The names of the layers inside a group with these names, innermost first; a group that says
 * nothing new has no list of its own.
 */
export const layersInside = (names: readonly string[], around: readonly string[]): readonly string[] => {
  if (names.length === 0) return around;
  return around.length === 0 ? names : [...new Set([...names, ...around])];
};

/** The names of a group and all groups around it, innermost first. */
export const layersOf = (group: Group | undefined): readonly string[] =>
  group === undefined ? [] : layersInside(group.names, layersOf(group.parent));
