/** The WebAssembly of `kernel.as.ts`, see `compileKernel.ts`. */
declare module 'virtual:kernel' {
  const kernel: Uint8Array<ArrayBuffer>
  export default kernel
}
