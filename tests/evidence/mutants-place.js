// Lists and places changes of source lines with Stryker's instrumenter, which is fetched into the cache when it is first
// wanted: nothing else needs it.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

export const root = fileURLToPath(new URL('../..', import.meta.url));
export const cache = `${root}node_modules/.cache/mutants`;
export const version = '9.6.1';

const home = `${cache}/node_modules/@stryker-mutator/instrumenter`;
if (!existsSync(home)) {
  mkdirSync(cache, { recursive: true });
  writeFileSync(`${cache}/package.json`, '{"private": true}\n');
  const done = spawnSync(
    'npm',
    ['install', '--no-audit', '--no-fund', '--legacy-peer-deps', `@stryker-mutator/instrumenter@${version}`],
    { cwd: cache, stdio: 'inherit' },
  );
  if (done.status !== 0) process.exit(1);
}
const from = (path) => import(`${home}/dist/src/${path}.js`);
const { createParser } = await from('parsers/index');
const { print } = await from('printers/index');
const { transformBabel } = await from('transformers/babel-transformer');
const { MutantCollector } = await from('transformers/index');
const { allMutators } = await from('mutators/index');

/**
 * `() => x` becomes `() => undefined` by its body: Stryker's own change of the whole function is made when the module is
 * loaded, and could not be switched.
 */
const emptyBody = {
  name: 'ArrowFunction',
  *mutate(path) {
    const isBody = path.key === 'body' && path.parentPath?.isArrowFunctionExpression();
    if (isBody && !path.isBlockStatement() && !path.isIdentifier({ name: 'undefined' }))
      yield { type: 'Identifier', name: 'undefined' };
  },
};
const mutators = allMutators.map((mutator) => (mutator.name === emptyBody.name ? emptyBody : mutator));

/** Numbers every change from 0 on; with `chosen`, only those are placed. */
class Collector extends MutantCollector {
  constructor(chosen) {
    super();
    this.chosen = chosen;
  }
  collect(...of) {
    const mutant = super.collect(...of);
    if (this.chosen !== undefined && !this.chosen.has(mutant.id)) mutant.ignoreReason ??= 'not chosen';
    return mutant;
  }
}

/**
 * The changes of the files, or the files with those of `chosen` in them. What a message says is pinned where it matters; a
 * test for every word would be a second copy of it: strings stay.
 * @returns the changes `{id, fileName, location, mutatorName, replacement}` and the files' text
 */
export const place = async (files, chosen) => {
  const options = { plugins: null, excludedMutations: ['StringLiteral'], ignorers: [], noHeader: false };
  const parse = createParser(options);
  const logger = { debug() {}, info() {}, warn() {} };
  const collector = new Collector(chosen);
  const texts = {};
  for (const name of files) {
    const tree = await parse(readFileSync(`${root}${name}`, 'utf8'), name);
    transformBabel(tree, collector, { options, mutateDescription: true, logger }, mutators);
    if (chosen !== undefined) texts[name] = print(tree);
  }
  const mutants = collector.mutants
    .filter(({ ignoreReason }) => !ignoreReason)
    .map((one) => one.toApiMutant());
  return { mutants, texts };
};
