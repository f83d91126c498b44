/** The part of css-tree that is used: its tokenizer (W3C CSS Syntax 3, section 4). */
declare module 'css-tree/tokenizer' {
  export function tokenize(source: string, onToken: (type: number, start: number, end: number) => void): void;
  export const tokenNames: readonly string[];
}

declare module 'css-tree/utils' {
  export const ident: { decode(text: string): string };
  export const string: { decode(text: string): string };
}
