/** CSS selectors, as far as they are honoured: W3C Selectors 4, sections 5 to 6 and 15. */
import { ident, string } from 'css-tree/utils';
import type { Tokens } from './tokens.js';

/**
 * An element as selectors see it. In what a `use` shows, the element it refers to has no parent
 * (SVG 2, section 5.5).
 */
export interface Scope {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string | undefined>>;
  readonly classes: readonly string[];
  readonly isRoot: boolean;
  readonly parent: Scope | undefined;
}

type Test = (element: Scope) => boolean;

/** What holds of one element; `key` says where to look for it in an index. */
interface Compound {
  readonly tests: readonly Test[];
  readonly key: string;
}

export interface StyleSelector {
  /** From the element itself outwards. */
  readonly compounds: readonly Compound[];
  /** Between each compound and the one outside it; one fewer than compounds. */
  readonly isChild: readonly boolean[];
  /** Selectors 4, section 17, in one number. */
  readonly specificity: number;
}

/** Why a selector is not honoured. */
export interface NotHonoured {
  readonly why: string;
  /** False for what is no selector at all: CSS then drops the whole rule. */
  readonly isSelector: boolean;
}

const mostCompounds = 32;
const step = { id: 1 << 20, attribute: 1 << 10, type: 1 };

/** One selector of a group, from token `from` up to `to`. */
export const parseSelector = (tokens: Tokens, from: number, to: number): StyleSelector | NotHonoured => {
  const compounds: { tests: Test[]; key: string; rank: number }[] = [];
  const isChild: boolean[] = [];
  let specificity = 0;
  let current: (typeof compounds)[number] | undefined;
  let child: boolean | undefined;
  const refusal = (why: string, isSelector: boolean): NotHonoured => ({ why, isSelector });
  const add = (rank: keyof typeof step, key: string, test: Test): void => {
    if (current === undefined) {
      current = { tests: [], key: '*', rank: 0 };
      if (compounds.length > 0) isChild.push(child ?? false);
      child = undefined;
      compounds.push(current);
    }
    current.tests.push(test);
    specificity += step[rank];
    if (key !== '' && step[rank] > current.rank) {
      current.key = key;
      current.rank = step[rank];
    }
  };
  const universal = (): void => {
    add('type', '', () => true);
    specificity -= step.type;
  };

  for (let i = from; i < to; i += 1) {
    const type = tokens.type(i);
    const text = tokens.text(i);
    if (type === 'whitespace-token') {
      current = undefined;
    } else if (type === 'ident-token') {
      if (current !== undefined) return refusal('it is not understood', false);
      if (tokens.text(i + 1) === '|') return refusal('it names a namespace', true);
      const name = ident.decode(text);
      add('type', `<${name}`, (element) => element.name === name);
    } else if (type === 'hash-token') {
      const id = ident.decode(text.slice(1));
      add('id', `#${id}`, ({ attributes }) => attributes.id?.trim() === id);
    } else if (type === '[-token') {
      const end = tokens.behind(i);
      const test = attributeTest(tokens, i + 1, end - 1);
      if ('why' in test) return test;
      add('attribute', '', test.test);
      i = end - 1;
    } else if (type === 'colon-token') {
      const isElement = tokens.type(i + 1) === 'colon-token';
      if (tokens.type(i + 1) === 'ident-token' && tokens.text(i + 1).toLowerCase() === 'root') {
        add('attribute', '', ({ isRoot }) => isRoot);
        i += 1;
      } else return refusal(isElement ? 'it uses a pseudo-element' : 'it uses a pseudo-class', true);
    } else if (type === 'delim-token' && text === '.' && tokens.type(i + 1) === 'ident-token') {
      const name = ident.decode(tokens.text(i + 1));
      add('attribute', `.${name}`, ({ classes }) => classes.includes(name));
      i += 1;
    } else if (type === 'delim-token' && text === '*') {
      if (current !== undefined) return refusal('it is not understood', false);
      if (tokens.text(i + 1) === '|') return refusal('it names a namespace', true);
      universal();
    } else if (type === 'delim-token' && text === '>') {
      if (compounds.length === 0 || child !== undefined) return refusal('it is not understood', false);
      current = undefined;
      child = true;
    } else if (type === 'delim-token' && (text === '+' || text === '~')) {
      return refusal('it goes by neighbouring elements', true);
    } else if (type === 'delim-token' && text === '|') {
      return refusal('it names a namespace', true);
    } else return refusal('it is not understood', false);
  }
  if (compounds.length === 0 || child !== undefined) return refusal('it is not understood', false);
  if (compounds.length > mostCompounds) return refusal(`it has more than ${mostCompounds} parts`, true);
  return { compounds: compounds.reverse(), isChild: isChild.reverse(), specificity };
};

/** `[name]`, `[name=value]` and so on, between the brackets. */
const attributeTest = (tokens: Tokens, from: number, to: number): { readonly test: Test } | NotHonoured => {
  const garbage: NotHonoured = { why: 'it is not understood', isSelector: false };
  let i = tokens.skipBlanks(from);
  if (tokens.type(i) !== 'ident-token') return { why: 'it names a namespace', isSelector: true };
  const name = ident.decode(tokens.text(i));
  i = tokens.skipBlanks(i + 1);
  if (i >= to) return { test: ({ attributes }) => attributes[name] !== undefined };
  let operator = '=';
  if (tokens.text(i) !== '=') {
    operator = tokens.text(i);
    if (operator === '|' && tokens.text(i + 1) !== '=')
      return { why: 'it names a namespace', isSelector: true };
    if (!'~|^$*'.includes(operator) || tokens.text(i + 1) !== '=') return garbage;
    i += 1;
  }
  i = tokens.skipBlanks(i + 1);
  const type = tokens.type(i);
  if (type !== 'ident-token' && type !== 'string-token') return garbage;
  const value = type === 'ident-token' ? ident.decode(tokens.text(i)) : string.decode(tokens.text(i));
  i = tokens.skipBlanks(i + 1);
  const flag = i < to ? tokens.text(i).toLowerCase() : '';
  if (flag !== '' && flag !== 'i' && flag !== 's') return garbage;
  if (flag !== '' && tokens.skipBlanks(i + 1) < to) return garbage;
  const plain = (text: string): string => (flag === 'i' ? text.toLowerCase() : text);
  const wanted = plain(value);
  const holds = comparison(operator, wanted);
  return {
    test: ({ attributes }) => {
      const found = attributes[name];
      return found !== undefined && holds(plain(found));
    },
  };
};

const comparison = (operator: string, value: string): ((found: string) => boolean) => {
  switch (operator) {
    case '~':
      return (found) => value !== '' && found.split(/\s+/).includes(value);
    case '|':
      return (found) => found === value || found.startsWith(`${value}-`);
    case '^':
      return (found) => value !== '' && found.startsWith(value);
    case '$':
      return (found) => value !== '' && found.endsWith(value);
    case '*':
      return (found) => value !== '' && found.includes(value);
    default:
      return (found) => found === value;
  }
};

/** @param count is called for every compound that is tried, so that someone can lose patience */
export const matches = (selector: StyleSelector, element: Scope, count: () => void): boolean =>
  matchesFrom(selector, 0, element, count);

const matchesFrom = (selector: StyleSelector, at: number, element: Scope, count: () => void): boolean => {
  count();
  if (!selector.compounds[at]!.tests.every((test) => test(element))) return false;
  if (at === selector.compounds.length - 1) return true;
  if (selector.isChild[at]) {
    return element.parent !== undefined && matchesFrom(selector, at + 1, element.parent, count);
  }
  for (let outer = element.parent; outer !== undefined; outer = outer.parent) {
    if (matchesFrom(selector, at + 1, outer, count)) return true;
  }
  return false;
};

/** The element that a frame encloses, for selectors. */
export const scopeOf = (
  element: { readonly name: string; readonly attributes: Scope['attributes'] },
  parent: Scope | undefined,
  isRoot = false,
): Scope => {
  const text = element.attributes.class?.trim() ?? '';
  const classes = text === '' ? [] : text.split(/\s+/);
  return { name: element.name, attributes: element.attributes, classes, isRoot, parent };
};
