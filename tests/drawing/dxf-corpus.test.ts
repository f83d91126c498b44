import { beforeAll, describe, expect, it, type TestContext } from 'vitest';
import { differences, type Expected, expectedOf } from './dxf-agreement.js';
import { type CorpusFile, fetchCorpus } from './dxf-corpus.js';
import { findEzdxf } from './read-back.js';

const fewestFiles = 30;

const ezdxf = findEzdxf();
let files: readonly CorpusFile[] = [];
let missing: readonly string[] = [];
let expected: Readonly<Record<string, Expected>> = {};

beforeAll(async () => {
  ({ files, missing } = fetchCorpus());
  for (const reason of missing) console.warn(`DXF files that are not held against another reader: ${reason}`);
  if ('missing' in ezdxf) {
    console.warn(`DXF files are not held against another reader: ${ezdxf.missing}`);
    return;
  }
  const { python } = ezdxf;
  const largestFirst = [...files].sort((a, b) => b.bytes.length - a.bytes.length).map(({ path }) => path);
  const halves = [0, 1].map((half) => largestFirst.filter((_, i) => i % 2 === half));
  const found = await Promise.all(halves.map((paths) => expectedOf(python, paths)));
  expected = Object.assign({}, ...found);
}, 300_000);

const skipWithout = (context: TestContext): void => {
  if ('missing' in ezdxf) context.skip(ezdxf.missing);
  if (files.length === 0) context.skip(`no DXF files here: ${missing.join('; ')}`);
};

describe('DXF files from elsewhere', () => {
  it('have the same entities, length and box in each layer as another reader finds', (context) => {
    skipWithout(context);
    const found = files.flatMap((file) => differences(file, expected[file.path]!));
    expect(found).toEqual([]);
    const drawn = files.filter(({ path }) => Object.keys(expected[path]!.layers).length > 0);
    const edges = drawn.flatMap(({ path }) => Object.values(expected[path]!.layers).map(([count]) => count));
    const total = edges.reduce((sum, count) => sum + count, 0);
    console.log(`DXF: ${drawn.length} files with ${total} edges in ${edges.length} layers agree with ezdxf`);
    expect(drawn.length).toBeGreaterThan(0);
  });

  it(`are at least ${fewestFiles}`, (context) => {
    skipWithout(context);
    if (missing.length > 0) context.skip(`not all packages could be had: ${missing.join('; ')}`);
    const drawn = files.filter(({ path }) => Object.keys(expected[path]!.layers).length > 0);
    expect(drawn.length).toBeGreaterThanOrEqual(fewestFiles);
  });
});
