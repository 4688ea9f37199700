/** Hears the pump in a thread of its own, so that a lesson of some seconds delays no command. */
import type { Sound } from '../protocol.ts'
import { createResampler, type Resampler } from '../resampler.ts'
import { bandRate } from './bands.ts'
import type { FromPump, ToPump } from './pumpProtocol.ts'
import { keepShots, readShots } from './pumpShelf.ts'
import { PumpStudent } from './pumpStudent.ts'

/** Seconds. A longer gap in the sound begins a new stretch; a shorter one is filled with silence, so that times stay true. */
const longGap = 0.5

/** what answers a message, once what was learnt before is read */
let opened: Promise<(message: ToPump) => void> | null = null

addEventListener('message', ({ data }: MessageEvent<ToPump>) => {
  if (data.kind === 'open') opened = open(data.sampleRate)
  else void opened?.then((answer) => answer(data))
})

async function open(sampleRate: number): Promise<(message: ToPump) => void> {
  const tell = (message: FromPump): void => postMessage(message)
  const student = new PumpStudent(
    (report) => {
      if (report.kind === 'learnt') {
        tell({ kind: 'learnt', knowledge: report.knowledge })
        void keepShots(report.shots)
      } else tell(report)
    },
    await readShots(),
  )

  let resampler: Resampler | null = null
  let nextFrame = -Infinity
  const hear = ({ frame, samples }: Sound): void => {
    const gap = frame - nextFrame
    if (resampler === null || gap < 0 || gap > longGap * sampleRate) {
      resampler = createResampler(sampleRate, bandRate)
      student.begin(frame / sampleRate)
    } else if (gap > 0) student.hear(resampler.process(new Float32Array(gap)))
    student.hear(resampler.process(samples))
    nextFrame = frame + samples.length
  }

  tell({ kind: 'learnt', knowledge: student.knowledge })
  return (message) => {
    switch (message.kind) {
      case 'open':
        return
      case 'source':
        message.port.onmessage = ({ data }: MessageEvent<Sound>) => hear(data)
        return
      case 'taught':
        return student.taught(message.onset, message.end)
      case 'forget':
        return student.forget()
    }
  }
}
