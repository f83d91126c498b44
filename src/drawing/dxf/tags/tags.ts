/** A DXF file as what it is made of: tags, each a group code and a value. */
import { InputError, type Where } from '../../../job/messages.js';

/**
 * Goes through the tags of a file once, from the first to the last; nothing is kept of those gone
 * by.
 */
export interface Tags {
  /** Group code of the tag at hand. */
  readonly code: number;
  /**
   * Where the tag at hand stands, for `where` and `fault`: the line of its value, or its byte in a
   * binary file.
   */
  readonly at: number;
  /**
   * Bytes of the file that the tag at hand takes, comments before it left out: from `begin` up to
   * `end`.
   */
  readonly begin: number;
  readonly end: number;
  /**
   * Steps to the next tag; false at the end of the file. Comments (group 999) are passed over.
   * @throws InputError for a tag that is cut off, and for a group code that is none
   */
  next(): boolean;
  /** @throws InputError for a value that is not a finite number */
  number(): number;
  /** The value as text without blanks around it. */
  text(): string;
  /** Whether the value is this word, blanks around it aside. */
  is(word: string): boolean;
  /** Says how names are written in this file, once its header is known. */
  setEncoding(version: string | undefined, codepage: string | undefined): void;
  where(at: number): Where;
  /** In words, for a list: `line 12`, or `byte 345` of a binary file. */
  place(at: number): string;
}

export const damaged = 'The file is damaged or was cut off: export the drawing again.';

/** An error of the file at the tag at hand, or at another place of it. */
export const fault = (
  tags: Tags,
  found: string,
  expected: string,
  next: string = damaged,
  at: number = tags.at,
): InputError => new InputError({ found, expected, where: tags.where(at), next });

export const cutOff = (tags: Tags, before: string): InputError =>
  fault(tags, `the end of the file before ${before}`, 'a DXF file that is complete, down to its EOF');

/** Text of the file in a message: short, on one line. */
export const excerpt = (text: string): string => {
  const plain = text
    .slice(0, 200)
    .replace(/[\p{Cc}\p{Zl}\p{Zp}]+/gu, ' ')
    .trim();
  return plain.length > 40 ? `${plain.slice(0, 40)}...` : plain;
};
