/** A region of material removed: one outer ring and the islands in it, with the shapes they were drawn as. */
import type { StoredRing } from '../../geometry/rings/stored-ring.js';

export interface RegionRing {
  readonly ring: StoredRing;
  /** Ids of the shapes this ring came from. */
  readonly shapes: readonly string[];
}

/** All rings keep the region on their left: the outer one runs counter-clockwise, islands clockwise. */
export interface Region {
  readonly rings: readonly RegionRing[];
  /** Set where curves stand as facets: directions at its corners, from which mitres start, are not exact. */
  readonly isFaceted?: true;
}
