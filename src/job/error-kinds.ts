/**
 * The three kinds of error, kept apart from the job file to the verdict:
 *
 *   independent  a variance per reading or per mark; repeats average only what is drawn anew at each repeat
 *   common       one unknown shift, turn, size or bow for the whole job, with an sd or within bounds; more marks do not help
 *   known        corrected, and said
 *
 * DEVELOPERS.md holds the table of causes: which kind each is, where it enters, its key, its
 * default and its source.
 */
/**
 * Of the last motion of an axis: 1 with rising figures on the display, -1 with falling ones, 0 free
 * of lost motion.
 */
export type Side = 1 | -1 | 0;

/** Of both axes of the display; undefined: not known. */
export type Sides = readonly [x: Side | undefined, y: Side | undefined];

/**
 * From which side marks were reached: a known one; `same`, one unknown side for all; `either`, any
 * side at each.
 */
export type Arrival = 1 | -1 | 'same' | 'either';

/**
 * What a cut loses along its normals by lost motion of the axes, mm per axis: known in size, and
 * always a loss.
 */
export type CutReversal = readonly [x: number, y: number];
