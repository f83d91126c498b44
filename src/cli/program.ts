/** The commands and their options; each command's code is loaded only when it is called. */
import { Command, CommanderError, InvalidArgumentError } from 'commander';
import { InputError, nearestWord, shellWord } from '../internal.js';
import { addCalibrate } from './commands/calibrate-command.js';
import { type Io, status } from './io.js';
import { version } from './version.js';

/**
 * Runs one call.
 *
 * @param argv without the program's own name
 * @returns the exit status
 * @throws InputError when the call or its input is wrong
 */
export const runProgram = async (argv: readonly string[], io: Io): Promise<number> => {
  let result: number = status.done;
  const program = commands(io, (s) => {
    result = s;
  });
  try {
    await program.parseAsync(argv, { from: 'user' });
  } catch (error) {
    if (!(error instanceof CommanderError)) throw error;
    if (error.exitCode === 0) return status.done;
    throw callFault(error, program, argv);
  }
  return result;
};

const commands = (io: Io, end: (status: number) => void): Command => {
  const program = new Command('reseat');
  program
    .description(
      'Puts a finished part back on the cutter: where it lies, from readings at its\nmarks, and the paths of the next cut, moved there and set back from its openings.',
    )
    .option('-V, --version', 'print the version')
    .helpOption('-h, --help', 'print this help')
    .helpCommand(false)
    .exitOverride()
    .configureOutput({ writeOut: io.stdout.write, writeErr: () => {}, getOutHelpWidth: () => 80 })
    .addHelpText(
      'after',
      `
Start with "reseat list" on the drawing, write a job file, then "reseat fit",
"reseat check" and "reseat cut". "reseat COMMAND --help" tells more about each.

Exit status: 0 done; 1 the error does not fit the clearance; 2 the input or the
call is wrong, nothing was written; 3 the fit has no solution.`,
    );
  program.on('option:version', () => {
    io.stdout.write(`${version()}\n`);
    throw new CommanderError(0, 'commander.version', '');
  });

  const jobFiles = 'job files, or - for a job on standard input';
  const json = ['--json', 'print one JSON object per line and nothing else'] as const;

  program
    .command('fit')
    .description('where the part lies: the fit of each job, with its residuals')
    .argument('<job...>', jobFiles)
    .option(...json)
    .action(async (jobs: string[], options: { json?: boolean }) => {
      const { fit } = await import('./commands/fit.js');
      end(await fit(jobs, { json: options.json ?? false }, io));
    });

  program
    .command('check')
    .description('whether the error fits the clearance of each job, and what to do next')
    .argument('<job...>', jobFiles)
    .option(...json)
    .action(async (jobs: string[], options: { json?: boolean }) => {
      const { check } = await import('./commands/check.js');
      end(await check(jobs, { json: options.json ?? false }, io));
    });

  program
    .command('cut')
    .description('the paths of the next cut, as an SVG, DXF or NC file')
    .argument('<job...>', jobFiles)
    .option(
      '-o, --output <file>',
      'the cut file, ending in .svg, .dxf or .nc, or - for\nstandard output; with several jobs the folder for one\nfile each, named after its job',
      once('-o'),
    )
    .option('--format <format>', 'svg, dxf or nc, with several jobs or -o - (default: svg)', once('--format'))
    .option(
      '--picture <file>',
      'the part on its bed with what is cut, ending in .png or\n.svg; for one job',
      once('--picture'),
    )
    .option('--unproven', 'write the cut although the readings contradict each other')
    .option('--force', 'replace files that exist already')
    .option(...json)
    .action(
      async (
        jobs: string[],
        options: {
          output?: string;
          format?: string;
          picture?: string;
          force?: boolean;
          unproven?: boolean;
          json?: boolean;
        },
      ) => {
        const { cut } = await import('./commands/cut.js');
        const { output, format, picture, force = false, unproven = false, json = false } = options;
        const drawn = picture === undefined ? {} : { picture };
        end(await cut(jobs, { output, format, force, unproven, json, ...drawn }, io));
      },
    );

  program
    .command('plan')
    .description('where to put marks before piercing, or what to touch, and what it brings')
    .argument('<job...>', `${jobFiles}; they need no\nreadings`)
    .option(
      '-o, --output <file>',
      'the drawing with the marks in it, ending in .svg or .dxf\n(one job)',
      once('-o'),
    )
    .option(
      '--picture <file>',
      'a picture of the error to be expected over the panel,\nending in .png or .svg (one job)',
      once('--picture'),
    )
    .option('--force', 'replace files that exist already')
    .option(...json)
    .action(
      async (
        jobs: string[],
        options: { output?: string; picture?: string; force?: boolean; json?: boolean },
      ) => {
        const { plan } = await import('./commands/plan.js');
        const { output, picture, force = false, json = false } = options;
        end(await plan(jobs, { output, picture, force, json }, io));
      },
    );

  program
    .command('list')
    .description('what is in a drawing and how it was understood, to write "roles" from')
    .argument('<drawing...>', 'drawings, or job files, to see what their roles make of their drawings')
    .option('--units <unit>', 'the unit of drawings that state none', once('--units'))
    .option('--dpi <number>', 'px to the inch of drawings in px or without unit (96)', once('--dpi'))
    .option(
      '--join <mm>',
      'join the ends of lines that are at most so far apart\n(default: 0.01, as in a job)',
      once('--join'),
    )
    .option(
      '-o, --output <file>',
      'a picture of how it was understood, ending in .png or .svg;\nwith several drawings the folder for one PNG each',
      once('-o'),
    )
    .option('--force', 'replace pictures that exist already')
    .option(...json)
    .action(
      async (
        drawings: string[],
        options: {
          units?: string;
          dpi?: string;
          join?: string;
          output?: string;
          force?: boolean;
          json?: boolean;
        },
      ) => {
        const { list } = await import('./commands/list.js');
        const { units, dpi, join, output, force = false, json = false } = options;
        end(await list(drawings, { units, dpi, join, output, force, json }, io));
      },
    );

  program
    .command('scan')
    .description('openings as lines and arcs from the picture of a flatbed scanner')
    .argument('<image>', 'a scan: PNG, TIFF or JPEG')
    .option('-o, --output <file>', 'the drawing, ending in .svg or .dxf', once('-o'))
    .option(
      '--dpi <number>',
      'pixels to the inch, where the file does not say or errs;\nacross,down where they differ',
      once('--dpi'),
    )
    .option('--openings <tone>', 'dark or light: what openings are in the picture', once('--openings'))
    .option('--smallest <mm>', 'what is smaller across is a speck (0.5)', once('--smallest'))
    .option(
      '--known <length>',
      'a measured length, "X1,Y1 X2,Y2 = MM", between corners or\ncentres at these places; several times for both axes',
      (value: string, before: string[]) => [...before, value],
      [],
    )
    .option('--picture <file>', 'the scan with what was found, ending in .png or .svg', once('--picture'))
    .option('--force', 'replace files that exist already')
    .option(...json)
    .action(
      async (
        image: string,
        options: {
          output?: string;
          dpi?: string;
          openings?: string;
          smallest?: string;
          known: string[];
          picture?: string;
          force?: boolean;
          json?: boolean;
        },
      ) => {
        const { scan } = await import('./commands/scan.js');
        const { output, dpi, openings, smallest, known, picture, force = false, json = false } = options;
        end(await scan(image, { output, dpi, openings, smallest, known, picture, force, json }, io));
      },
    );

  program
    .command('inspect')
    .description('how well it came out: what the cut was out by, from gaps measured on the piece')
    .argument(
      '<job...>',
      `${jobFiles}, each followed\nby the scan of its piece, if there is one; without gaps\nand scan: where to measure`,
    )
    .option('--places <number>', 'how many places to measure (10)', once('--places'))
    .option('--dpi <number>', 'pixels to the inch of the scan, as for "scan"', once('--dpi'))
    .option(
      '--turned <degrees>',
      'how the piece lay on the scanner, turned from how it lay\non the bed; only where it fits in several ways',
      once('--turned'),
    )
    .option('--gamma <number>', "1: the scan's values are light; 2.2: they are sRGB", once('--gamma'))
    .option(
      '--picture <file>',
      'gaps round each opening and along its edge, ending in\n.png or .svg (one job)',
      once('--picture'),
    )
    .option('--learn <profile>', 'fold kerf, beam offset and cut-sd into this profile', once('--learn'))
    .option('--date <date>', 'the day of the inspection (today)', once('--date'))
    .option('--force', 'replace a picture that exists already; fold in what\ncontradicts the profile')
    .option(...json)
    .action(
      async (
        paths: string[],
        options: {
          places?: string;
          dpi?: string;
          turned?: string;
          gamma?: string;
          picture?: string;
          learn?: string;
          date?: string;
          force?: boolean;
          json?: boolean;
        },
      ) => {
        const { inspect } = await import('./commands/inspect.js');
        const { places, dpi, turned, gamma, picture, learn, date, force = false, json = false } = options;
        end(await inspect(paths, { places, dpi, turned, gamma, picture, learn, date, force, json }, io));
      },
    );

  program
    .command('page')
    .description('the same in a browser: one file that needs no network')
    .argument('[job]', 'a job file to fill it in with')
    .option('-o, --output <file>', 'the page, ending in .html', once('-o'))
    .option('--force', 'replace a page that exists already')
    .action(async (job: string | undefined, options: { output?: string; force?: boolean }) => {
      const { page } = await import('./commands/page.js');
      const { output, force = false } = options;
      end(await page(job, { output, force }, io));
    });

  addCalibrate(program, { io, end, json, jobFiles, once });

  program
    .command('help')
    .description('the help of a command, such as "reseat help calibrate bed"')
    .argument('[command...]', 'a command')
    .action((words: string[]) => {
      namedCommand(program, words).outputHelp();
    });

  program
    .command('completion')
    .description('a script that completes commands and options in your shell')
    .argument('<shell>', 'bash, zsh or fish')
    .action(async (shell: string) => {
      const { completion } = await import('./commands/completion.js');
      io.stdout.write(completion(shell, program));
    });

  for (const command of program.commands) inherit(command, program);
  return program;
};

const inherit = (command: Command, parent: Command): void => {
  command.copyInheritedSettings(parent);
  for (const below of command.commands) inherit(below, command);
};

const once =
  (flag: string) =>
  (value: string, previous: string | undefined): string => {
    if (previous !== undefined) throw new InvalidArgumentError(`${flag} twice`);
    return value;
  };

/** The command that the words of a call lead to; the program itself where they name none. */
const calledCommand = (program: Command, argv: readonly string[]): Command => {
  let called = program;
  for (const word of argv.filter((part) => !part.startsWith('-'))) {
    const below = called.commands.find((c) => c.name() === word);
    if (!below) break;
    called = below;
  }
  return called;
};

/** @throws InputError for a word that names no command */
const namedCommand = (program: Command, words: readonly string[]): Command =>
  words.reduce((above, word) => {
    const found = above.commands.find((c) => c.name() === word);
    if (found !== undefined) return found;
    const names = above.commands.map((c) => c.name());
    const nearest = nearestWord(word, names);
    throw new InputError({
      found: `the unknown command "${word}"`,
      expected: names.length > 0 ? names.join(', ') : `nothing after "${fullName(above)}"`,
      next: nearest === undefined ? '"reseat help" shows the commands.' : `Did you mean ${nearest}?`,
    });
  }, program);

/** `calibrate bed` */
const fullName = (command: Command): string => {
  const { parent } = command;
  return parent?.parent ? `${fullName(parent)} ${command.name()}` : command.name();
};

/** Commander's complaints in our own words, with the nearest word that exists. */
const callFault = (error: CommanderError, program: Command, argv: readonly string[]): InputError => {
  const subject = /'([^']*)'/.exec(error.message)?.[1] ?? '';
  const called = calledCommand(program, argv);
  const help =
    called === program
      ? '"reseat --help" shows the commands.'
      : `"reseat ${fullName(called)} --help" shows ${called.commands.length > 0 ? 'what it can do' : 'how it is called'}.`;
  const meant = (word: string, known: readonly string[]): string => {
    const nearest = nearestWord(word, known);
    return nearest === undefined ? help : `Did you mean ${nearest}?`;
  };
  const names = called.commands.map((c) => c.name());
  const forFile = (word: string): string | undefined =>
    /\.(svg|dxf)$/i.test(word) ? 'list' : /\.(ya?ml|json)$/i.test(word) ? 'check' : undefined;
  switch (error.code) {
    case 'commander.help':
      return new InputError({
        found: called === program ? 'no command' : `nothing after "${fullName(called)}"`,
        expected: names.join(', '),
        next: help,
      });
    case 'commander.unknownCommand':
      return new InputError({
        found: `the unknown command "${subject}"`,
        expected: names.join(', '),
        next:
          called === program && forFile(subject) !== undefined
            ? `Write the command before the file: reseat ${forFile(subject)} ${shellWord(subject)}`
            : meant(subject, names),
      });
    case 'commander.unknownOption': {
      const known = [...called.options.flatMap((o) => [o.long ?? '']), '--help'];
      return new InputError({
        found: `the unknown option ${subject}`,
        expected: known.join(', '),
        next: meant(subject.replace(/=.*/, ''), known),
      });
    }
    case 'commander.missingArgument':
      return new InputError({
        found: `no ${subject} after "${fullName(called)}"`,
        expected: called.registeredArguments.some((a) => a.variadic)
          ? `one ${subject} or more`
          : `a file of ${subject}`,
        next: help,
      });
    case 'commander.optionMissingArgument':
      return new InputError({
        found: `${subject.replace(/ <.*/, '')} without a value`,
        expected: 'a value behind it',
        next: help,
      });
    case 'commander.invalidArgument':
      return new InputError({
        found: error.message.replace(/^.*is invalid\. /, ''),
        expected: 'it at most once',
        next: 'Remove one of them.',
      });
    default:
      return new InputError({ found: error.message.replace(/^error: /, ''), expected: 'a call', next: help });
  }
};
