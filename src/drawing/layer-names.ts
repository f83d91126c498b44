/** The names of the groups around a shape. */
import type { Group } from './drawing.js';

const none: readonly string[] = [];

/**
 * The names of a group and all groups around it, innermost first, worked out once for each group; groups without a name share
 * the list of the one around them.
 */
export const layerNames = (): ((group: Group | undefined) => readonly string[]) => {
  const known = new Map<Group, readonly string[]>();
  const layersOf = (group: Group | undefined): readonly string[] => {
    let named = group;
    while (named !== undefined && named.names.length === 0) named = named.parent;
    if (named === undefined) return none;
    let names = known.get(named);
    if (names === undefined) {
      names = [...new Set([...named.names, ...layersOf(named.parent)])];
      known.set(named, names);
    }
    return names;
  };
  return layersOf;
};
