/**
 * What a cut does to the piece beyond moving its edges, told with the openings concerned and the place; and which of it
 * spoils the piece.
 */
import type { Point } from '../../geometry/point.js';
import type { Job } from '../../job/job.js';

/** In the order in which they are told. */
export const findingCodes = [
  'nothing-left',
  'breaks-edge',
  'falls-loose',
  'piece-splits',
  'openings-merged',
  'opening-vanished',
  'outside-outline',
] as const;

export type FindingCode = (typeof findingCodes)[number];

export interface Finding {
  readonly code: FindingCode;
  /** Ids of the openings concerned. */
  readonly openings: readonly string[];
  readonly at: Point;
  /** mm by mm, of a piece that comes loose. */
  readonly size?: readonly [width: number, height: number];
  /** `opening-vanished`: what vanished; an island is material that was to stay standing. */
  readonly what?: 'opening' | 'part' | 'island' | 'hole';
  /**
   * `opening-vanished`: ids of shapes of which, or of a part of which, nothing is cut; absent where these are all openings
   * concerned. Material between openings is lost without any of them.
   */
  readonly vanished?: readonly string[];
  /** `outside-outline`: the opening lies outside of the panel as a whole. */
  readonly whole?: boolean;
}

/**
 * Whether the piece is spoiled, so that no verdict is `fits`, however good the alignment:
 *
 * - nothing is left of the panel, or of all pieces that were to be cut;
 * - the edge of the panel is opened where it was whole, or material falls out of it;
 * - an island that was to stay standing is burnt away;
 * - the piece for an opening comes in several, or together with another one, or not at all.
 *
 * The others are warnings. A part of an opening that gets no piece of its own leaves the rest as it was meant. An opening
 * across the outline is open to the edge already. Openings that are not cut because the beam is too thick are judged by
 * their margin. Openings whose set-backs run together lose a land, which may be what is wanted of a film behind thin bars.
 */
export const spoils = ({ code, what }: Finding, kind: Job['cut']['kind']): boolean => {
  switch (code) {
    case 'nothing-left':
    case 'breaks-edge':
    case 'falls-loose':
    case 'piece-splits':
      return true;
    case 'openings-merged':
      return kind === 'inlay';
    case 'opening-vanished':
      return kind === 'inlay' ? what === 'opening' : what === 'island';
    case 'outside-outline':
      return false;
  }
};
