/** A style sheet as tokens, by css-tree, with what a reader of rules asks of them. */
import { tokenize, tokenNames } from 'css-tree/tokenizer';

/** A sheet that cannot be read at all, with the place in its text. */
export class SheetFault extends Error {
  constructor(
    readonly found: string,
    readonly expected: string,
    /** Index in the text of the sheet. */
    readonly at: number,
  ) {
    super(`${found}; expected ${expected}`);
    this.name = 'SheetFault';
  }
}

/** Brackets within brackets; a sheet of real life has a handful. */
const deepestBrackets = 64;

const closers: ReadonlyMap<string, string> = new Map([
  ['{-token', '}-token'],
  ['(-token', ')-token'],
  ['[-token', ']-token'],
  ['function-token', ')-token'],
]);

/** The tokens of a sheet; comments are left out. */
export class Tokens {
  private readonly types: number[] = [];
  private readonly starts: number[] = [];
  private readonly ends: number[] = [];

  constructor(readonly source: string) {
    const comment = tokenNames.indexOf('comment-token');
    tokenize(source, (type, start, end) => {
      if (type === comment) return;
      this.types.push(type);
      this.starts.push(start);
      this.ends.push(end);
    });
  }

  get count(): number {
    return this.types.length;
  }

  /** `ident-token`, `{-token` and so on; empty behind the last one. */
  type(i: number): string {
    return i < this.types.length ? (tokenNames[this.types[i]!] ?? '') : '';
  }

  text(i: number): string {
    return i < this.types.length ? this.source.slice(this.starts[i], this.ends[i]) : '';
  }

  /** Where a token stands; the end of the text behind the last one. */
  at(i: number): number {
    return this.starts[i] ?? this.source.length;
  }

  /** The text from one token up to another, without comments. */
  slice(from: number, to: number): string {
    let text = '';
    for (let i = from; i < to; i += 1) text += this.text(i);
    return text;
  }

  isBlank(i: number): boolean {
    return this.type(i) === 'whitespace-token';
  }

  skipBlanks(i: number): number {
    let at = i;
    while (this.isBlank(at)) at += 1;
    return at;
  }

  /**
   * The index behind the token at `i`, or behind the bracket it opens.
   * @throws SheetFault for a bracket that is never closed, and for brackets nested too deep
   */
  behind(i: number): number {
    if (!closers.has(this.type(i))) return i + 1;
    const open: number[] = [];
    let at = i;
    do {
      const type = this.type(at);
      if (closers.has(type)) {
        open.push(at);
        if (open.length > deepestBrackets) {
          throw new SheetFault(
            `brackets nested more than ${deepestBrackets} deep in a style sheet`,
            `at most ${deepestBrackets} levels`,
            this.at(open[0]!),
          );
        }
      } else if (type === closers.get(this.type(open.at(-1)!))) open.pop();
      at += 1;
    } while (open.length > 0 && at < this.count);
    if (open.length === 0) return at;
    const [first] = open as [number];
    const closer = closers.get(this.type(first))!.charAt(0);
    throw new SheetFault(
      `"${this.text(first).slice(0, 20)}" in a style sheet without its "${closer}"`,
      'it closed',
      this.at(first),
    );
  }
}
