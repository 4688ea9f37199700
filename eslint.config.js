import js from '@eslint/js'
import boundaries from 'eslint-plugin-boundaries'
import svelte from 'eslint-plugin-svelte'
import globals from 'globals'
import ts from 'typescript-eslint'

/** The one-way arrows between the rooms: who may import whom. DEVELOPERS.md says why. */
const arrows = {
  messages: ['grammar'],
  coffee: [],
  bar: ['coffee', 'messages'],
  hearing: ['grammar', 'messages'],
  speaking: ['grammar', 'messages'],
  logbook: ['coffee', 'messages'],
  app: ['bar', 'logbook', 'hearing', 'speaking', 'coffee', 'grammar', 'messages'],
  grammar: ['messages'],
  'acoustic-model': ['grammar'],
}

const rooms = Object.keys(arrows).map((type) => ({
  type,
  pattern: ['grammar', 'acoustic-model'].includes(type) ? type : `src/${type}`,
}))

export default ts.config(
  { ignores: ['dist/', 'node_modules/', 'public/', '**/*.as.ts'] },
  js.configs.recommended,
  ...ts.configs.recommended,
  ...svelte.configs.recommended,
  {
    languageOptions: { globals: { ...globals.browser, ...globals.node } },
    rules: {
      '@typescript-eslint/no-explicit-any': 'error',
      '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_', varsIgnorePattern: '^_' }],
      '@typescript-eslint/consistent-type-imports': 'error',
    },
  },
  {
    files: ['**/*.svelte', '**/*.svelte.ts'],
    languageOptions: { parserOptions: { parser: ts.parser } },
  },
  {
    files: ['src/**', 'grammar/**', 'acoustic-model/**'],
    plugins: { boundaries },
    settings: { 'boundaries/elements': rooms, 'import/resolver': { node: true } },
    rules: {
      'boundaries/dependencies': [
        'error',
        {
          default: 'disallow',
          policies: [
            { allow: { to: { module: { origin: ['external', 'core'] } } } },
            ...Object.entries(arrows).map(([from, to]) => ({
              from: { element: { type: from } },
              allow: { to: { element: { types: { anyOf: [from, ...to] } } } },
            })),
          ],
        },
      ],
    },
  },
)
