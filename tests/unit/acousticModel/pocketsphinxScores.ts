import { execFileSync } from 'node:child_process'
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { readSphinxModel, type SphinxModel } from '../../../acoustic-model/sphinx/sphinxModel.ts'
import { randomNumbers } from './randomNumbers.ts'

const folder = '/usr/share/pocketsphinx/model/en-us/en-us'

/** One step of pocketsphinx's scores in natural logarithm. */
const step = 1024 * Math.log(1.0001)

/** What pocketsphinx makes of a made-up sound. */
interface Scores {
  model: SphinxModel
  /** cepstra of each frame, before the mean is taken off */
  cepstra: Float64Array[]
  /** log-likelihood of each senone in each frame, but for a constant a frame */
  scores: Float64Array[]
}

/** Runs Debian's pocketsphinx over a sound and reads the logs that it can write; `null` where it is not installed. */
export function pocketsphinxScores(): Scores | null {
  if (!existsSync('/usr/bin/pocketsphinx_batch') || !existsSync(folder)) return null
  const work = mkdtempSync(join(tmpdir(), 'pocketsphinx-'))
  const path = (name: string): string => join(work, name)
  try {
    writeFileSync(path('sound.raw'), new Uint8Array(sound().buffer))
    writeFileSync(path('list'), 'sound\n')
    writeFileSync(path('words'), 'a AH\n')
    writeFileSync(path('grammar'), '#JSGF V1.0;\ngrammar g;\npublic <g> = a;\n')
    const options = {
      hmm: folder,
      dict: path('words'),
      jsgf: path('grammar'),
      ctl: path('list'),
      cepdir: work,
      cepext: '.raw',
      adcin: 'yes',
      hyp: path('heard'),
      senlogdir: work,
      mfclogdir: work,
      compallsen: 'yes',
      topn: '128',
      remove_silence: 'no',
      remove_noise: 'no',
    }
    const flags = Object.entries(options).flatMap(([name, value]) => [`-${name}`, value])
    execFileSync('pocketsphinx_batch', flags, { stdio: 'ignore' })
    return {
      model: readSphinxModel(folder),
      cepstra: readCepstra(new Uint8Array(readFileSync(path('000000000.mfc')))),
      scores: readScores(new Uint8Array(readFileSync(path('000000000.sen')))),
    }
  } finally {
    rmSync(work, { recursive: true })
  }
}

/** Half a second that is enough like speech: a gliding pulse train through two gliding resonances, with noise. */
function sound(): Int16Array {
  const random = randomNumbers(11)
  const samples = new Int16Array(8000)
  const memory = [0, 0, 0, 0]
  let phase = 0
  samples.forEach((_, at) => {
    phase += (110 + 40 * Math.sin(at / 1500)) / 16000
    const pulse = phase >= 1 ? 1 : 0
    phase %= 1
    let value = 6000 * pulse + 300 * (random() - 0.5)
    for (const [index, frequency] of [
      500 + 300 * Math.sin(at / 1100),
      1600 + 700 * Math.sin(at / 700),
    ].entries()) {
      const [before = 0, earlier = 0] = [memory[2 * index], memory[2 * index + 1]]
      value += 2 * 0.96 * Math.cos((2 * Math.PI * frequency) / 16000) * before - 0.96 ** 2 * earlier
      memory[2 * index + 1] = before
      memory[2 * index] = value
    }
    samples[at] = Math.max(-32768, Math.min(32767, Math.round(value / 4)))
  })
  return samples
}

function readCepstra(bytes: Uint8Array): Float64Array[] {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  const count = view.getInt32(0, true)
  return Array.from({ length: count / 13 }, (_, frame) =>
    Float64Array.from({ length: 13 }, (_, order) => view.getFloat32(4 + 4 * (13 * frame + order), true)),
  )
}

function readScores(bytes: Uint8Array): Float64Array[] {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  const head = new TextDecoder('latin1').decode(bytes.subarray(0, 1000))
  const senones = Number(/^n_sen (\d+)$/m.exec(head)?.[1])
  const rows: Float64Array[] = []
  for (let at = head.indexOf('endhdr\n') + 7 + 4; at < bytes.length; at += 2 * (senones + 1)) {
    if (view.getInt16(at, true) !== senones) throw new Error('pocketsphinx left out senones')
    const first = at + 2
    rows.push(
      Float64Array.from({ length: senones }, (_, senone) => -step * view.getInt16(first + 2 * senone, true)),
    )
  }
  return rows
}
