/** What cannot stand beside `cut: {kind: as-drawn}`, and what belongs to it alone. */
import { type Field, refused } from './fields.js';

/** Keys of `cut` that a line cut again where it is has no use for, with the reason. */
const withoutUse = {
  clearance: 'nothing is set back: the line is cut again where it is',
  kerf: 'the beam runs along the drawn line itself, whatever it takes away',
  corners: 'corners stay as they are drawn',
  'mitre-limit': 'corners stay as they are drawn',
  'smallest-land': 'the lands are those of the drawing',
} as const;

/** @throws InputError for the first key that would have no effect */
export const refuseBesideAsDrawn = (keys: { readonly [key in keyof typeof withoutUse]?: Field }): void => {
  for (const [name, why] of Object.entries(withoutUse)) {
    const field = keys[name as keyof typeof withoutUse];
    if (field === undefined) continue;
    throw refused(
      field,
      `no "${name}" beside "kind: as-drawn", for ${why}`,
      name === 'clearance'
        ? 'Remove it; how far the cut may miss the line is "check: {allowed-deviation: ...}".'
        : 'Remove it, or choose "kind: opening" or "kind: inlay".',
    );
  }
};

/** @throws InputError for film, which is laid over openings and cut set back from them */
export const refuseFilmAsDrawn = (film: Field): never => {
  throw refused(film, 'no "film" beside "cut: {kind: as-drawn}"', 'Remove one of them.');
};

/** @throws InputError always: what a cut set back from an edge may do is stated by its clearance */
export const refuseDeviationAllowed = (field: Field): never => {
  throw refused(
    field,
    '"cut: {kind: as-drawn}" beside it, for any other cut is held to its clearance',
    'Remove it, or state the clearance under "cut".',
  );
};
