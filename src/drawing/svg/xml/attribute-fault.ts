/**
 * A mistake inside the value of one attribute; the reader turns it into an InputError with line and
 * column.
 */
export class AttributeFault extends Error {
  /** Undefined: the element as a whole is at fault. */
  readonly attribute: string | undefined;
  /** Index of the offending character in the attribute's value. */
  readonly offset: number;
  readonly found: string;
  readonly expected: string;
  readonly next: string;

  constructor(parts: {
    attribute: string | undefined;
    offset?: number;
    found: string;
    expected: string;
    next: string;
  }) {
    super(`${parts.found}; expected ${parts.expected}`);
    this.name = 'AttributeFault';
    this.attribute = parts.attribute;
    this.offset = parts.offset ?? 0;
    this.found = parts.found;
    this.expected = parts.expected;
    this.next = parts.next;
  }
}
