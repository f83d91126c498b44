/** What all entities have in common. */
import type { DxfRecord } from './tags/record.js';

export interface Properties {
  /** Type in upper case, as in the file. */
  readonly type: string;
  /** Where it stands; see `Tags.at`. */
  readonly at: number;
  readonly handle: string | undefined;
  readonly layer: string;
  /** Group 62: 256 by layer, 0 by block, otherwise a colour number. */
  readonly colour: number;
  /** Group 420, 0xRRGGBB. */
  readonly trueColour: number | undefined;
  readonly invisible: boolean;
  readonly paperSpace: boolean;
}

/**
 * Defaults after the published DXF reference, from memory: layer 0, colour by layer, visible, model
 * space.
 */
export const propertiesOf = (record: DxfRecord, shared: Shared): Properties => ({
  type: shared.word(record.type),
  at: record.at,
  handle: record.handle,
  layer: shared.word(record.layer ?? '0'),
  colour: record.first(62) ?? 256,
  trueColour: record.first(420),
  invisible: (record.first(60) ?? 0) !== 0,
  paperSpace: (record.first(67) ?? 0) !== 0,
});

export const leftOutAs = ({ type, at }: Properties, why: string): LeftOutEntity => ({
  kind: 'left-out',
  type,
  at,
  why,
});

/** Words that many entities have in common are kept once. */
export class Shared {
  private readonly words = new Map<string, string>();

  word(text: string): string {
    const known = this.words.get(text);
    if (known !== undefined) return known;
    this.words.set(text, text);
    return text;
  }
}

/** Anything else. */
export interface LeftOutEntity {
  readonly kind: 'left-out';
  readonly type: string;
  readonly at: number;
  readonly why: string;
}
