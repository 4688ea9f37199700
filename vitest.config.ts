import { defineConfig } from 'vitest/config'

const inBrowser = {
  globalSetup: 'tests/harness/buildOnce.ts',
  testTimeout: 300_000,
  hookTimeout: 300_000,
}

/** Tests in which somebody speaks in real time. They are mostly idle, so `npm test` runs them beside all the others. */
const spoken = ['rehearse', 'sessionByEar', 'sessionMicrophone', 'speaking'].map(
  (name) => `tests/browser/${name}.test.ts`,
)

export default defineConfig({
  test: {
    projects: [
      { test: { name: 'unit', include: ['tests/unit/**/*.test.ts'], testTimeout: 20_000 } },
      {
        test: {
          ...inBrowser,
          name: 'browser',
          include: ['tests/browser/**/*.test.ts'],
          exclude: spoken,
          maxWorkers: 2,
          sequence: { groupOrder: 1 },
        },
      },
      {
        test: {
          ...inBrowser,
          name: 'spoken',
          include: spoken,
          fileParallelism: false,
          sequence: { groupOrder: 2 },
          // real time on a machine that may be busy: a word spoken into a stall is said again
          retry: 1,
        },
      },
    ],
  },
})
