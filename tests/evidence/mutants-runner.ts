/**
 * Runs each test as ever, and then again with each change of its plan that the test reaches and no test has noticed yet.
 * A change is switched on by Stryker's instrumenter (`__stryker__`), so nothing is loaded anew for it. What a test reaches
 * before it begins (modules, `describe`, `beforeAll`) cannot be switched: it is told as `early`.
 */
import { appendFileSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import {
  type RunnerTestCase,
  type RunnerTestFile,
  type RunnerTestSuite,
  type SerializedConfig,
  TestRunner,
} from 'vitest';

interface Switch {
  activeMutant?: string | undefined;
  currentTestId?: string | undefined;
  hitCount?: number | undefined;
  hitLimit?: number | undefined;
  mutantCoverage?: { static: Record<string, number>; perTest: Record<string, Record<string, number>> };
}
const scope: { __stryker__?: Switch } = globalThis as never;
scope.__stryker__ ??= {};
const stryker: Switch = scope.__stryker__;

const { MUTANTS_LOG: log = '', MUTANTS_PLAN: planFile = '', MUTANTS_ACTIVE: active } = process.env;

interface Plan {
  readonly noticed: readonly string[];
  /** Tests that were gone through before this process. */
  readonly done: readonly string[];
  /** Seconds of the processor that a change has had. */
  readonly spent: Readonly<Record<string, number>>;
  readonly secondsOfOne: number;
  readonly secondsOfTest: number;
}
const plan: Plan = JSON.parse(readFileSync(planFile, 'utf8'));
const noticed = new Set(plan.noticed);
const done = new Set(plan.done);
const spent = new Map(Object.entries(plan.spent));

const tell = (what: object): void => appendFileSync(log, `${JSON.stringify(what)}\n`);
const seconds = (): number => {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1e6;
};

if (active !== undefined) stryker.activeMutant = active;
else fc.configureGlobal({ ...fc.readConfigureGlobal(), endOnFailure: true });
tell({ process: process.pid });

const reachedBy = (key: string): Readonly<Record<string, number>> =>
  stryker.mutantCoverage?.perTest[key] ?? {};

const nameOf = (test: RunnerTestCase): string => {
  const names = [test.name];
  for (let above = test.suite; above !== undefined; above = above.suite) names.unshift(above.name);
  return `${test.file.name} > ${names.join(' > ')}`;
};

// biome-ignore lint/style/noDefaultExport: vitest takes a runner from nowhere else.
export default class MutantsRunner extends TestRunner {
  constructor(config: SerializedConfig) {
    super(config);
    stryker.currentTestId = undefined;
  }

  override onCollectStart(file: RunnerTestFile): void {
    stryker.currentTestId = `early ${file.name}`;
    super.onCollectStart(file);
  }

  async runTask(test: RunnerTestCase): Promise<void> {
    const run = TestRunner.getTestFn(test);
    if (active !== undefined) return run();
    const name = nameOf(test);
    if (done.has(name)) return;
    stryker.currentTestId = name;
    const start = seconds();
    try {
      await run();
    } catch (error) {
      tell({ broken: test.file.name, test: name });
      throw error;
    }
    const base = seconds() - start;
    stryker.currentTestId = 'again';
    const reached = Object.entries(reachedBy(name));
    tell({ ran: name, base, reached: reached.map(([id]) => id) });
    const worth = (id: string): boolean =>
      !noticed.has(id) && (spent.get(id) ?? 0) < plan.secondsOfOne && base < plan.secondsOfTest;
    const left = reached.filter(([id]) => worth(id));
    if (left.length > 0) {
      // A test that does not hold twice would notice anything.
      if (stryker.mutantCoverage !== undefined) stryker.mutantCoverage.perTest.again = {};
      try {
        await run();
      } catch {
        tell({ unsteady: name });
        left.length = 0;
      }
    }
    // What is not reached again was kept from the first time, as a table is: it has to be tried in a process of its own.
    const again = reachedBy('again');
    const kept = left.filter(([id]) => again[id] === undefined).map(([id]) => id);
    if (kept.length > 0) tell({ early: test.file.name, reached: kept });
    for (const [id, hits] of left.filter(([id]) => again[id] !== undefined)) {
      tell({ begin: id });
      const from = seconds();
      stryker.hitCount = 0;
      stryker.hitLimit = 1000 + 100 * hits;
      stryker.activeMutant = id;
      let thrown: unknown;
      try {
        await run();
      } catch (error) {
        thrown = error ?? 'undefined';
      }
      stryker.activeMutant = undefined;
      stryker.hitCount = undefined;
      const took = seconds() - from;
      spent.set(id, (spent.get(id) ?? 0) + took);
      if (thrown === undefined) tell({ lived: id, took });
      else {
        noticed.add(id);
        tell({ noticed: id, by: name, why: String((thrown as Error).message ?? thrown).slice(0, 160) });
      }
    }
    stryker.currentTestId = `early ${test.file.name}`;
    tell({ done: name });
  }

  override async onAfterRunSuite(suite: RunnerTestSuite): Promise<void> {
    if (suite.suite === undefined && active === undefined) {
      const { name } = suite.file;
      tell({ early: name, reached: Object.keys(reachedBy(`early ${name}`)) });
    }
    await super.onAfterRunSuite(suite);
  }
}
