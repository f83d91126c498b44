/**
 * A name that is no id, as one with blanks, stands in a `title` inside its element, and the id is
 * made of it. That is how names are written here and read back. A title that has nothing to do with
 * the id is a note for people and names nothing.
 */

import { layersInside } from '../model/layer-names.js';
import type { Frame } from './svg-viewport.js';
import { insideShape, type Walk } from './svg-walk.js';

/** An id as XML takes it: no blanks (W3C SVG 2, section 5.3.1). */
export const idMadeOf = (name: string): string => name.replace(/\s+/g, '-') || 'path';

const isMadeOf = (id: string | undefined, name: string): boolean => {
  if (id === undefined || id === name) return false;
  const made = idMadeOf(name);
  // The second of a name bears a number.
  return id === made || (id.startsWith(`${made}-`) && /^\d+$/.test(id.slice(made.length + 1)));
};

/**
 * Names the element that a title stands in; for a group it has to come before what it holds.
 *
 * @param frames of the elements around the title, the innermost last
 */
export const takeTitle = (title: string, frames: Frame[], { shapes }: Walk): void => {
  const name = title.trim();
  const frame = frames.at(-1)!;
  if (frame === insideShape) {
    const last = shapes.count - 1;
    if (last >= 0 && isMadeOf(shapes.givenId(last), name)) shapes.addLabel(last, name);
    return;
  }
  const outer = frames.at(-2);
  const { group } = frame;
  if (!frame.draws || outer === undefined || group === undefined || group === outer.group) return;
  if (!isMadeOf(group.names[0], name) || group.names.includes(name)) return;
  const names = [...group.names, name];
  frames[frames.length - 1] = {
    ...frame,
    group: { names, parent: group.parent },
    layers: layersInside(names, outer.layers),
  };
};
