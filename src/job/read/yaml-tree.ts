/**
 * YAML 1.2 text to a tree of nodes that know their line and column. The tree is read field by field
 * (fields.ts) instead of being turned into plain values first: a mark named 01 keeps its name, and
 * every message has a place.
 */

import {
  type Alias,
  Composer,
  CST,
  type Document,
  type ErrorCode,
  isAlias,
  LineCounter,
  type Node,
  Parser,
  type YAMLError,
} from 'yaml';
import { limits } from '../bounds.js';
import { InputError, type Where } from '../messages.js';

export interface YamlTree {
  /** As named in messages. */
  readonly file: string;
  readonly root: Node;
  /** Line and column (from 1) of a position in the text. */
  placeOf(offset: number): { line: number; column: number };
  /**
   * What stands behind a node on its line as a comment, with its #; undefined where there is none.
   */
  commentBehind(node: Node): string | undefined;
  /** The node an alias stands for; any other node is itself. */
  resolved(node: Node): Node;
}

const longestText = limits.jobCharacters.most;
const deepestNesting = limits.jobNesting.most;
const mostAliases = limits.jobAliases.most;

/** @throws InputError for text that is not exactly one YAML document. */
export const parseYaml = (file: string, text: string): YamlTree => {
  if (text.length > longestText) {
    throw new InputError({
      found: `${text.length} characters`,
      expected: `at most ${longestText}`,
      where: { file },
      next: 'Put long lists of readings into a CSV file and name it behind "readings".',
    });
  }
  const lines = new LineCounter();
  const placeOf = (offset: number): { line: number; column: number } => {
    const { line, col } = lines.linePos(Math.min(offset, text.length));
    return { line: Math.max(line, 1), column: Math.max(col, 1) };
  };
  const fault = (offset: number, parts: Fault): InputError =>
    new InputError({ ...parts, where: { file, ...placeOf(offset) } satisfies Where });

  const source = text.startsWith('\uFEFF') ? text.slice(1) : text;
  const tokens = [...new Parser(lines.addNewLine).parse(source)];
  const tooDeep = firstDeeperThan(tokens, deepestNesting);
  if (tooDeep !== undefined) {
    throw fault(tooDeep, {
      found: `more than ${deepestNesting} values nested in each other`,
      expected: 'at most that many',
      next: 'Check the brackets and dashes before this place.',
    });
  }

  // Keys are compared in fields.ts: the library compares each with all others, which is too slow
  // for long lists.
  const composer = new Composer({ version: '1.2', uniqueKeys: false, prettyErrors: false, strict: true });
  const documents = [...composer.compose(tokens, true, source.length)];
  const document = documents[0]! as Document.Parsed;
  const first = firstError([...document.errors, ...document.warnings]);
  if (first) throw fault(first.offset, first.fault);
  if (document.directives.yaml.version !== '1.2') {
    throw fault(0, {
      found: `a %YAML ${document.directives.yaml.version} directive`,
      expected: 'YAML 1.2',
      next: 'Remove the directive; everything else can stay.',
    });
  }
  if (documents.length > 1) {
    throw fault(documents[1]!.range[0], {
      found: 'a second document',
      expected: 'one document in the file',
      next: 'Remove the line "---" or keep one job per file.',
    });
  }
  if (!document.contents) {
    throw new InputError({
      found: 'nothing in the file',
      expected: 'keys and values',
      where: { file },
      next: 'Write one "key: value" on each line.',
    });
  }

  let aliases = 0;
  const targets = new Map<Alias, Node>();
  const resolvedAlias = (alias: Alias.Parsed): Node => {
    const seen = targets.get(alias);
    if (seen) return seen;
    aliases += 1;
    if (aliases > mostAliases) {
      throw fault(alias.range[0], {
        found: `more than ${mostAliases} aliases`,
        expected: 'at most that many',
        next: 'Write the values out.',
      });
    }
    const target = alias.resolve(document);
    if (!target) {
      throw fault(alias.range[0], {
        found: `the alias *${alias.source} without its anchor &${alias.source}`,
        expected: 'an anchor before it',
        next: 'Write the value itself here.',
      });
    }
    targets.set(alias, target);
    return target;
  };
  return {
    file,
    root: document.contents,
    placeOf,
    commentBehind: (node) =>
      /^[ \t]+(#[^\r\n]*)/.exec(source.slice(node.range?.[1] ?? source.length))?.[1]?.trimEnd(),
    resolved: (node) => (isAlias(node) ? resolvedAlias(node as Alias.Parsed) : node),
  };
};

type Fault = { readonly found: string; readonly expected: string; readonly next: string };

/** Offset of the first token nested deeper than `limit`, without recursion. */
const firstDeeperThan = (tokens: readonly CST.Token[], limit: number): number | undefined => {
  const open: { token: CST.Token; depth: number }[] = tokens.map((token) => ({ token, depth: 0 }));
  for (let next = open.pop(); next; next = open.pop()) {
    const { token, depth } = next;
    if (depth > limit) return 'offset' in token ? token.offset : 0;
    if (token.type === 'document' && token.value) open.push({ token: token.value, depth });
    if (!CST.isCollection(token)) continue;
    for (const item of token.items) {
      if (item.key) open.push({ token: item.key, depth: depth + 1 });
      if (item.value) open.push({ token: item.value, depth: depth + 1 });
    }
  }
  return undefined;
};

/** The first error, in our words. */
const firstError = (errors: readonly YAMLError[]): { offset: number; fault: Fault } | undefined => {
  const [first, second] = [...errors].sort((a, b) => a.pos[0] - b.pos[0]);
  if (!first) return undefined;
  const offset = first.pos[0];
  const both = second?.pos[0] === offset && second.code === 'MULTILINE_IMPLICIT_KEY';
  if (both && first.code === 'BLOCK_AS_IMPLICIT_KEY') return { offset, fault: tooDeepLine };
  const known = faults[first.code];
  if (known) return { offset, fault: known };
  const found = `broken YAML (${first.message})`;
  return { offset, fault: { found, expected: 'valid YAML', next: 'Correct the text at this place.' } };
};

const tooDeepLine: Fault = {
  found: 'a value that is followed by a line indented deeper than its key',
  expected: 'keys of one level indented alike',
  next: 'Align the next line with its neighbours.',
};

const faults: { readonly [code in ErrorCode]?: Fault } = {
  TAB_AS_INDENT: {
    found: 'a tab as indentation',
    expected: 'blanks',
    next: 'Indent with blanks; YAML allows no tabs there.',
  },
  BAD_INDENT: {
    found: 'a bracket that is not closed, or a line with too little indentation',
    expected: 'every [ and { closed, and what is inside indented deeper than its key',
    next: 'Look for the missing bracket before this place.',
  },
  MISSING_CHAR: {
    found: 'text that ends too early',
    expected: 'a colon and a blank behind each key, and every quote and bracket closed',
    next: 'Look for the missing colon, quote or bracket at or before this place.',
  },
  BLOCK_AS_IMPLICIT_KEY: {
    found: 'a value with a colon and a blank in it',
    expected: 'one "key: value" on a line',
    next: 'Put the value in quotes, or what is inside on lines of its own.',
  },
  MULTILINE_IMPLICIT_KEY: {
    found: 'a key that runs over more than one line',
    expected: 'one "key: value" on a line, keys of one level indented alike',
    next: 'Put a blank behind each colon, and align the line with its neighbours.',
  },
  UNEXPECTED_TOKEN: {
    found: 'text that fits nothing before it',
    expected: 'keys of one level indented alike, lists either all in brackets or all with dashes',
    next: 'Check the indentation and the brackets here and on the line before.',
  },
  BLOCK_IN_FLOW: {
    found: 'an indented list or mapping inside brackets',
    expected: 'brackets inside brackets',
    next: 'Write it with [ ] or { }, or close the bracket before it.',
  },
  BAD_SCALAR_START: {
    found: 'a value that begins with a reserved character',
    expected: 'a value in quotes',
    next: 'Put the value in quotes.',
  },
  BAD_DQ_ESCAPE: {
    found: 'a backslash sequence that YAML does not know',
    expected: 'plain text, or \\\\ for a backslash inside double quotes',
    next: 'Use single quotes, or slashes in a path.',
  },
  TAG_RESOLVE_FAILED: {
    found: 'a tag (a word with !) that is not known here',
    expected: 'plain values',
    next: 'Remove the tag, or put the value in quotes if the ! belongs to it.',
  },
  MULTIPLE_DOCS: {
    found: 'a second document',
    expected: 'one document in the file',
    next: 'Remove the line "---" or keep one job per file.',
  },
  BAD_DIRECTIVE: {
    found: 'a % directive that is not known',
    expected: 'none, or %YAML 1.2',
    next: 'Remove the line.',
  },
  KEY_OVER_1024_CHARS: {
    found: 'a key of more than 1024 characters',
    expected: 'short keys',
    next: 'Look for a missing quote or line break before this place.',
  },
};
