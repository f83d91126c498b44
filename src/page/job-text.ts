/** What is typed into the page, as the text of a job file; what the page does not show stays as it was given. */
import { type Document, isCollection, isMap, isSeq, parseDocument, type YAMLMap, YAMLSeq } from 'yaml';

/** One reading as typed. A mark that was read again has several. */
export interface TypedReading {
  readonly mark: string;
  readonly x: string;
  readonly y: string;
}

/** A mark that the drawing does not hold, as typed. */
export interface TypedMark {
  readonly name: string;
  readonly x: string;
  readonly y: string;
}

export interface TypedJob {
  /** The file as it came, or nothing. */
  readonly given: string | undefined;
  readonly title: string | undefined;
  readonly drawing: string;
  /** Those of which both coordinates are there. */
  readonly readings: readonly TypedReading[];
  readonly marks: readonly TypedMark[];
  /** Names of the drawn marks, which a job that types others has to name as well. */
  readonly drawnMarks: readonly string[];
  /** By their keys, `cut.clearance`; an empty one is left out of the file. */
  readonly values: ReadonlyMap<string, string>;
}

/** The order of keys in a file that the page begins. */
const order = [
  'title',
  'drawing',
  'units',
  'face',
  'marks',
  'readings',
  'machine',
  'fit',
  'pierced',
  'cut',
  'check',
];

export const jobText = (typed: TypedJob): string => {
  const document = parseDocument(typed.given ?? '{}');
  if (!isMap(document.contents)) document.contents = document.createNode({}) as never;
  const root = document.contents as unknown as YAMLMap;
  if (typed.given === undefined) root.flow = false;
  if (typed.title !== undefined) set(document, ['title'], typed.title);
  set(document, ['drawing'], typed.drawing);
  setReadings(document, typed.readings);
  setMarks(document, typed);
  for (const [key, value] of typed.values) {
    const path = key.split('.');
    if (value.trim() !== '') set(document, path, plain(value));
    else if (document.hasIn(path)) remove(document, path);
  }
  if (typed.given === undefined) {
    const place = (key: unknown): number => order.indexOf(String(key));
    root.items.sort((a, b) => place(a.key) - place(b.key));
  }
  return document.toString({ lineWidth: 0, flowCollectionPadding: false });
};

/** A number where one was typed, otherwise the text itself: what is wrong with it is said where the job is read. */
const plain = (typed: string): number | string | boolean => {
  const text = typed.trim();
  if (text === 'true' || text === 'false') return text === 'true';
  return /^[+-]?(\d+\.?\d*|\.\d+)$/.test(text) ? Number(text) : text;
};

const set = (document: Document, path: readonly string[], value: unknown): void => {
  const old = document.getIn(path, true);
  const known = isCollection(old) ? old.toJSON() : (old as { value?: unknown } | undefined)?.value;
  if (old !== undefined && JSON.stringify(known) === JSON.stringify(value)) return;
  document.setIn(path, value);
};

/** The key, and the mapping round it where nothing else is left in it. */
const remove = (document: Document, path: readonly string[]): void => {
  document.deleteIn(path);
  const parent = path.slice(0, -1);
  const left = parent.length === 0 ? undefined : document.getIn(parent, true);
  if (isMap(left) && left.items.length === 0) document.deleteIn(parent);
};

const pair = (document: Document, { x, y }: { readonly x: string; readonly y: string }): YAMLSeq => {
  const node = document.createNode([plain(x), plain(y)]) as unknown as YAMLSeq;
  node.flow = true;
  return node;
};

const setReadings = (document: Document, readings: readonly TypedReading[]): void => {
  const byMark = new Map<string, TypedReading[]>();
  for (const reading of readings) {
    const known = byMark.get(reading.mark);
    if (known === undefined) byMark.set(reading.mark, [reading]);
    else known.push(reading);
  }
  if (readings.length === 0) {
    document.delete('readings');
    return;
  }
  if (!isMap(document.get('readings', true))) document.set('readings', document.createNode({}));
  const node = document.get('readings', true) as unknown as YAMLMap;
  for (const { key } of [...node.items]) {
    const name = String((key as { value?: unknown }).value ?? key);
    if (!byMark.has(name)) node.delete(key);
  }
  for (const [mark, all] of byMark) {
    const known = [...node.items].find(
      ({ key }) => String((key as { value?: unknown }).value ?? key) === mark,
    );
    const points = all.map(({ x, y }) => [plain(x), plain(y)]);
    const value = points.length === 1 ? points[0] : points;
    const old = known?.value as { toJSON?: () => unknown } | undefined;
    if (old?.toJSON && JSON.stringify(old.toJSON()) === JSON.stringify(value)) continue;
    let next = pair(document, all[0]!);
    if (all.length > 1) {
      next = new YAMLSeq(document.schema);
      next.flow = true;
      for (const one of all) next.add(pair(document, one));
    }
    if (known) known.value = next;
    else node.set(document.createNode(mark), next);
  }
};

/** Typed marks join those of the job; where the drawing's own were meant so far, they are named as well. */
const setMarks = (document: Document, { marks, drawnMarks }: TypedJob): void => {
  const old = document.get('marks', true);
  if (marks.length === 0) return;
  if (!isMap(old)) {
    document.set('marks', document.createNode(Object.fromEntries(drawnMarks.map((name) => [name, name]))));
  }
  const node = document.get('marks', true) as unknown as YAMLMap;
  for (const mark of marks) {
    const value = node.get(mark.name, true) as unknown;
    const next = pair(document, mark);
    if (isSeq(value) && JSON.stringify(value.toJSON()) === JSON.stringify(next.toJSON())) continue;
    node.set(mark.name, next);
  }
};
