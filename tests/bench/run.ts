/** `npm run bench -- NAME [arguments]`: runs tests/bench/NAME.ts, which exports one function taking the arguments. */
const [name, ...rest] = process.argv.slice(2)
if (name === undefined || !/^[a-zA-Z]+$/.test(name)) {
  console.error('Say which benchmark: npm run bench -- NAME, for a file tests/bench/NAME.ts')
  process.exit(2)
}
const module = (await import(`./${name}.ts`)) as { default: (args: readonly string[]) => unknown }
await module.default(rest)

export {}
