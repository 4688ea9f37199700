import { execFileSync } from 'node:child_process'
import { OpusDecoder } from 'opus-decoder'
import { joined } from './bytes.ts'
import { encodeWav, sampleRate } from './wav.ts'

/** Samples into an Opus file of 24 kbit/s. Needs Debian's `opus-tools`. The same samples give the same bytes. */
export function encodeOpus(samples: Float32Array): Uint8Array {
  const options = ['--quiet', '--bitrate', '24', '--serial', '1', '--discard-comments', '-', '-']
  return new Uint8Array(execFileSync('opusenc', options, { input: encodeWav(samples), maxBuffer: 2 ** 28 }))
}

/** Opus counts samples at 48 kHz, whatever it was made from (RFC 7845, section 4). */
const granulesPerSample = 48000 / sampleRate

/**
 * Takes the packets out of an Ogg file that holds one Opus stream.
 *
 * @see RFC 3533, section 6, for the pages; RFC 7845, sections 4 and 5, for the header packet, the pre-skip and
 * the last page's granule position, which ends the stream
 * @throws when a page does not start where it should
 */
export function oggPackets(file: Uint8Array): { packets: Uint8Array[]; preSkip: number; granules: number } {
  const view = new DataView(file.buffer, file.byteOffset, file.byteLength)
  const packets: Uint8Array<ArrayBuffer>[] = []
  let pieces: Uint8Array[] = []
  let granules = 0
  for (let at = 0; at < file.length;) {
    if (view.getUint32(at) !== 0x4f676753) throw new Error(`no Ogg page at byte ${at}`) // "OggS"
    const segments = file.subarray(at + 27, at + 27 + (file[at + 26] ?? 0))
    granules = Number(view.getBigUint64(at + 6, true))
    at += 27 + segments.length
    for (const length of segments) {
      pieces.push(file.subarray(at, at + length))
      at += length
      if (length === 255) continue // the packet goes on in the next segment
      packets.push(joined(pieces))
      pieces = []
    }
  }
  const [header, , ...audio] = packets
  if (!header) throw new Error('the Ogg file is empty')
  return { packets: audio, preSkip: new DataView(header.buffer).getUint16(10, true), granules }
}

/** An Opus file into samples in -1..1 at {@link sampleRate}, as long as what was encoded. */
export async function decodeOpus(file: Uint8Array): Promise<Float32Array> {
  const { packets, preSkip, granules } = oggPackets(file)
  const decoder = new OpusDecoder({ sampleRate, channels: 1, preSkip: preSkip / granulesPerSample })
  await decoder.ready
  try {
    const { channelData, errors } = decoder.decodeFrames(packets)
    if (errors[0]) throw new Error(`the Opus file is broken: ${errors[0].message}`)
    return (channelData[0] ?? new Float32Array()).slice(
      0,
      Math.round((granules - preSkip) / granulesPerSample),
    )
  } finally {
    decoder.free()
  }
}
