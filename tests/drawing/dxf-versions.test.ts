import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { differences, expectedOf } from './dxf-agreement.js';
import { findEzdxf } from './read-back.js';

const folder = mkdtempSync(join(tmpdir(), 'reseat-dxf-'));
afterAll(() => rmSync(folder, { recursive: true }));

const ezdxf = findEzdxf();
if ('missing' in ezdxf) console.warn(`DXF versions are not held against another reader: ${ezdxf.missing}`);

describe('DXF of every version, R12 to 2018, in text and in binary form, as another program writes it', () => {
  it('has the entities, lengths and boxes that were drawn', async (context) => {
    if ('missing' in ezdxf) return context.skip(ezdxf.missing);
    execFileSync(ezdxf.python, [join(import.meta.dirname, 'dxf-written.py'), folder]);
    const files = readdirSync(folder).map((name) => {
      const path = join(folder, name);
      return { name, path, bytes: new Uint8Array(readFileSync(path)) };
    });
    expect(files).toHaveLength(14);
    const expected = await expectedOf(
      ezdxf.python,
      files.map(({ path }) => path),
    );
    for (const { path } of files) {
      expect(Object.keys(expected[path]!.layers).sort()).toEqual(['0', 'OPENINGS', 'RÜCKSEITE']);
    }
    expect(files.flatMap((file) => differences(file, expected[file.path]!))).toEqual([]);
  });
});
