// Lint rules, and the walls of the house: what may import what. A reading travels one way
// (device -> intake -> rules, store -> room -> notify, web), so nothing upstream imports anything downstream.
import globals from 'globals'
import lit from 'eslint-plugin-lit'
import tseslint from 'typescript-eslint'

const rooms = ['intake', 'store', 'hatch', 'rules', 'diagnosis', 'plan', 'room', 'devices', 'notify', 'web']

/** A rule entry that forbids the given path patterns, with the reason shown to whoever trips over it. */
function wall(files, forbidden, message, { allowTypes = false, paths = [] } = {}) {
  return {
    files,
    rules: {
      'no-restricted-imports': 'off',
      '@typescript-eslint/no-restricted-imports': [
        'error',
        { paths, patterns: [{ regex: forbidden, message, allowTypeImports: allowTypes }] },
      ],
    },
  }
}

/** Matches a relative import that reaches one of the broker's rooms, from inside another room. */
const into = names => `^(\\.\\./)+(broker/)?(${names.join('|')})/`
const outsideHouse = names => `^(\\.\\./)+(${names.join('|')})/`
const upstreamOnly = allowed =>
  `${into(rooms.filter(name => !allowed.includes(name)))}|${outsideHouse(['dashboard', 'sim', 'test'])}`

const timeIsAnArgument = {
  'no-restricted-syntax': [
    'error',
    {
      selector: "NewExpression[callee.name='Date'][arguments.length=0]",
      message: 'Time is an argument here.',
    },
    {
      selector: "MemberExpression[object.name='Date'][property.name='now']",
      message: 'Time is an argument here.',
    },
    {
      selector: "MemberExpression[object.name='Math'][property.name='random']",
      message: 'Chance is an argument here.',
    },
  ],
}
const pure = {
  ...timeIsAnArgument,
  'no-restricted-globals': [
    'error',
    ...[
      'setTimeout',
      'setInterval',
      'setImmediate',
      'process',
      'fetch',
      'document',
      'window',
      'performance',
      'console',
    ].map(name => ({ name, message: 'This room is pure: no clock, no I/O. Take it as an argument.' })),
  ],
}

export default tseslint.config(
  { ignores: ['dist/**', 'data/**', 'node_modules/**'] },
  ...tseslint.configs.recommendedTypeChecked,
  {
    languageOptions: {
      globals: { ...globals.node },
      parserOptions: {
        projectService: { allowDefaultProject: ['.config/*.js'] },
        tsconfigRootDir: new URL('..', import.meta.url).pathname,
      },
    },
    rules: {
      '@typescript-eslint/no-floating-promises': 'error',
      '@typescript-eslint/consistent-type-imports': 'error',
      '@typescript-eslint/no-unused-vars': [
        'error',
        { argsIgnorePattern: '^_', caughtErrorsIgnorePattern: '^_' },
      ],
      '@typescript-eslint/require-await': 'off',
      '@typescript-eslint/restrict-template-expressions': ['error', { allowNumber: true }],
      eqeqeq: ['error', 'always'],
      'no-console': 'error',
      'max-lines': ['error', { max: 350, skipBlankLines: true, skipComments: true }],
    },
  },
  { files: ['.config/*.js'], ...tseslint.configs.disableTypeChecked },
  {
    files: ['dashboard/**/*.ts'],
    ...lit.configs['flat/recommended'],
    languageOptions: { globals: globals.browser },
  },

  // Only the mains own a clock.
  {
    files: ['broker/**/*.ts', 'sim/**/*.ts'],
    ignores: ['**/main.ts', '**/cli.ts', 'broker/cli/**', 'sim/demo.ts'],
    rules: timeIsAnArgument,
  },

  // The pure rooms and the pure contract.
  {
    files: [
      'broker/hatch/**/*.ts',
      'broker/rules/**/*.ts',
      'broker/diagnosis/**/*.ts',
      'broker/plan/**/*.ts',
      'firmware-protocol/**/*.ts',
    ],
    rules: pure,
  },
  ...[
    ['broker/hatch/*.ts', '\\.\\./'],
    ['broker/hatch/*/*.ts', '\\.\\./\\.\\./'],
  ].map(([files, outside]) =>
    wall(
      [files],
      `^(${outside}|node:|[a-z@](?!.*stat))`,
      'broker/hatch is pure: it imports only itself (and a statistics library).',
    ),
  ),
  wall(
    ['firmware-protocol/**/*.ts'],
    '^(\\.\\./(?!\\w[\\w-]*\\.ts)|node:)|^(?!zod$|cborg|\\.\\.?/)',
    'firmware-protocol imports zod and cborg and nothing else.',
  ),

  // The way of a reading.
  wall(['broker/intake/**/*.ts'], upstreamOnly(['intake']), 'intake is upstream of every other room.'),
  wall(
    ['broker/rules/**/*.ts'],
    `${upstreamOnly(['intake', 'rules', 'hatch'])}|^node:`,
    'rules are pure and know readings and the hatch model only.',
  ),
  wall(
    ['broker/diagnosis/**/*.ts'],
    `${upstreamOnly(['intake', 'hatch', 'diagnosis'])}|^node:`,
    'the diagnosis is pure: it knows readings and the hatch model, and of the store and the rules their types only.',
    { allowTypes: true },
  ),
  wall(
    ['broker/plan/**/*.ts'],
    '^(\\.\\./(?!hatch/)|node:)|^(?!highs$|\\.\\.?/)',
    'the plan is pure: it imports the hatch model and the kept solver (highs) and nothing else.',
  ),
  wall(
    ['broker/store/**/*.ts'],
    upstreamOnly(['intake', 'rules', 'store', 'hatch']),
    'the store keeps what intake and rules make.',
  ),
  wall(
    ['broker/room/**/*.ts'],
    upstreamOnly(['intake', 'rules', 'store', 'hatch', 'diagnosis', 'plan', 'room']),
    'the room does not know who looks at it.',
  ),
  wall(
    ['broker/devices/**/*.ts'],
    upstreamOnly(['intake', 'rules', 'store', 'hatch', 'room', 'devices']),
    'what devices are told knows the room, and neither people nor the web.',
  ),
  wall(
    ['broker/replay/**/*.ts'],
    upstreamOnly(['intake', 'rules', 'store', 'hatch', 'room', 'replay']),
    'a replay is the room over again; it does not know who looks at it.',
  ),
  wall(
    ['broker/notify/**/*.ts'],
    upstreamOnly(['intake', 'rules', 'store', 'hatch', 'diagnosis', 'plan', 'room', 'notify']),
    'notify does not know the web.',
  ),
  wall(
    ['broker/web/**/*.ts'],
    upstreamOnly(['intake', 'rules', 'store', 'hatch', 'diagnosis', 'plan', 'room', 'replay', 'web']),
    'web does not know notify, sim or the dashboard.',
  ),

  // The two outside the broker.
  wall(
    ['sim/**/*.ts'],
    outsideHouse(['broker', 'dashboard', 'test']),
    'sim carries its own physics and speaks only MQTT and HTTP.',
  ),
  {
    files: ['dashboard/**/*.ts'],
    rules: {
      '@typescript-eslint/no-restricted-imports': [
        'error',
        {
          patterns: [
            {
              regex: '^(\\.\\./)+(sim|test|firmware-protocol)/|^node:',
              message: 'The dashboard talks to web/ only.',
            },
            {
              regex: '^(\\.\\./)+broker/(?!hatch/|plan/local-time|web/api/)',
              message:
                'The dashboard may import broker/hatch, the plan’s local time, and types of broker/web/api.',
            },
            {
              regex: '^(\\.\\./)+broker/web/api/',
              allowTypeImports: true,
              message: 'Only types: the schemas stay on the server.',
            },
          ],
        },
      ],
    },
  },
  {
    // What a test reads back over HTTP is any JSON, and its assertions are what check the shape.
    files: ['test/**/*.ts'],
    rules: {
      '@typescript-eslint/no-explicit-any': 'off',
      '@typescript-eslint/no-unsafe-assignment': 'off',
      '@typescript-eslint/no-unsafe-member-access': 'off',
      '@typescript-eslint/no-unsafe-argument': 'off',
      '@typescript-eslint/no-unsafe-call': 'off',
      '@typescript-eslint/no-unsafe-return': 'off',
      '@typescript-eslint/no-non-null-assertion': 'off',
    },
  },
  // What is printed to a person's terminal.
  {
    files: [
      'broker/main.ts',
      'broker/cli.ts',
      'broker/cli/**/*.ts',
      'sim/main.ts',
      'sim/demo.ts',
      'test/bench/**/*.ts',
      'test/browser/picture.ts',
      'test/skill/main.ts',
      'test/fuzz/main.ts',
      'test/season/main.ts',
      'test/alarms/main.ts',
      'test/blame/main.ts',
      'test/soak/main.ts',
      '.config/*.js',
    ],
    rules: { 'no-console': 'off' },
  },
)
