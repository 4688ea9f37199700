"""Lattice-free maximum mutual information, from full sums over time alignments.

The numerator sums over all ways to lay the transcript's graph (graphs.py) on the frames; the denominator over all phone
sequences, weighed by a trigram of phones. Both give the log of the sum and the occupancy of every output at every frame,
which is the gradient. Two implementations: plain PyTorch, the definition; and CUDA, the same in one launch each.
"""
import math

import numpy as np
import torch

from graphs import FINAL, START, WAYS
from phones import OUTPUTS, PHONES, SILENCE

NONE = -1e30
P = len(PHONES)


def phone_trigram(sequences, weights):
    """Smoothed P(r | p, q) as an array [p, q, r] from phone sequences, by interpolation (Witten and Bell, 1991).

    Before a sentence the history is silence, silence.
    """
    three = np.zeros((P, P, P))
    for sequence, weight in zip(sequences, weights):
        p = q = SILENCE
        for r in sequence:
            three[p, q, r] += weight
            p, q = q, r
    two, one = three.sum(0), three.sum((0, 1))
    unigram = (one + 1) / (one + 1).sum()

    def interpolate(counts, lower, strength):
        total = counts.sum(-1, keepdims=True)
        return (counts + strength * lower) / (total + strength)
    return interpolate(three, interpolate(two, unigram, 20.0)[None], 20.0).astype(np.float32)


# --- the definition ------------------------------------------------------------------------------------------------

def numerator_reference(scores, graph):
    """Log sums [batch] of scores [batch, T, OUTPUTS]; differentiable."""
    phone, before, flags, first, last = (graph[key] for key in ('phone', 'before', 'flags', 'first', 'last'))
    batch, time = scores.shape[:2]
    enter = scores.gather(2, (2 * phone)[:, None].expand(batch, time, -1).long())
    stay = scores.gather(2, (2 * phone + 1)[:, None].expand(batch, time, -1).long())
    ways = before.clamp_min(0).long()
    none = torch.full_like(enter[:, 0], NONE)
    now = None
    for t in range(time):
        if t == 0:
            new = torch.where(flags & START > 0, enter[:, 0], none)
        else:
            sources = now.gather(1, ways.flatten(1)).view(ways.shape).masked_fill(before < 0, NONE)
            new = torch.logaddexp(sources.logsumexp(2) + enter[:, t], now + stay[:, t])
        now = torch.where((t >= first) & (t <= last), new, none)
    return now.masked_fill(flags & FINAL == 0, NONE).logsumexp(1)


def best_path(scores, graph):
    """The best way to lay the graph on scores [batch, T, OUTPUTS]: its states [batch, T] and what each gained there."""
    phone, before, flags, first, last = (graph[key] for key in ('phone', 'before', 'flags', 'first', 'last'))
    batch, time = scores.shape[:2]
    enter, stay = (2 * phone)[:, None].expand(batch, time, -1).long(), (2 * phone + 1)[:, None].expand(batch, time, -1).long()
    enter, stay = scores.gather(2, enter), scores.gather(2, stay)
    ways = before.clamp_min(0).long()
    itself = torch.arange(phone.shape[1], device=scores.device).expand(batch, -1)
    now = enter[:, 0].masked_fill(flags & START == 0, NONE)
    now = now.masked_fill((first > 0) | (last < 0), NONE)
    back = [itself]
    for t in range(1, time):
        sources = now.gather(1, ways.flatten(1)).view(ways.shape).masked_fill(before < 0, NONE)
        best, way = sources.max(2)
        entered, stayed = best + enter[:, t], now + stay[:, t]
        back.append(torch.where(entered > stayed, ways.gather(2, way[..., None])[..., 0], itself))
        now = torch.maximum(entered, stayed).masked_fill((t < first) | (t > last), NONE)
    state = now.masked_fill(flags & FINAL == 0, NONE).argmax(1, keepdim=True)
    path, gains = [], []
    for t in range(time - 1, -1, -1):
        source = back[t].gather(1, state)
        entered = (source != state) if t > 0 else torch.ones_like(state, dtype=torch.bool)
        gains.append(torch.where(entered, enter[:, t].gather(1, state), stay[:, t].gather(1, state)))
        path.append(state)
        state = source
    return torch.cat(path[::-1], 1), torch.cat(gains[::-1], 1)


def denominator_reference(scores, trigram):
    """Log sums [batch] of scores [batch, T, OUTPUTS]; differentiable."""
    enter, stay = scores[..., 0::2], scores[..., 1::2]
    log_trigram = trigram.log()
    batch = scores.shape[0]
    now = torch.full((batch, P, P), NONE, device=scores.device, dtype=scores.dtype)
    now[:, SILENCE] = log_trigram[SILENCE, SILENCE] + enter[:, 0]
    for t in range(1, scores.shape[1]):
        moved = (now[:, :, :, None] + log_trigram).logsumexp(1) + enter[:, t, None, :]
        now = torch.logaddexp(moved, now + stay[:, t, None, :])
    return now.flatten(1).logsumexp(1)


# --- the same in CUDA ----------------------------------------------------------------------------------------------

SOURCE = r'''
#define NONE -1e30f
__device__ __forceinline__ float lse(float a, float b) {
  float m = fmaxf(a, b);
  return m <= NONE * 0.5f ? NONE : m + log1pf(expf(fminf(a, b) - m));
}
__device__ __forceinline__ float ways_in(const float* from, const short* way) {
  float m = NONE;
  for (int k = 0; k < WAYS; k++) if (way[k] >= 0) m = fmaxf(m, from[way[k]]);
  if (m <= NONE * 0.5f) return NONE;
  float s = 0;
  for (int k = 0; k < WAYS; k++) if (way[k] >= 0) s += expf(from[way[k]] - m);
  return m + logf(s);
}
extern "C" __global__ void numerator_forward(const float* scores, const unsigned char* phone, const short* before,
    const unsigned char* flags, const int* first, const int* last, const int* count, float* alpha, float* total,
    int T, int U) {
  int b = blockIdx.x, n = count[b];
  extern __shared__ float shared[];
  float *then = shared, *now = shared + U;
  phone += (long)b * U; before += (long)b * U * WAYS; flags += (long)b * U; first += (long)b * U; last += (long)b * U;
  scores += (long)b * T * OUTPUTS; alpha += (long)b * T * U;
  for (int t = 0; t < T; t++) {
    const float* o = scores + t * OUTPUTS;
    for (int u = threadIdx.x; u < n; u += blockDim.x) {
      float v = NONE;
      if (t >= first[u] && t <= last[u]) {
        float in = t == 0 ? (flags[u] & 1 ? 0.f : NONE) : ways_in(then, before + u * WAYS);
        float stay = t == 0 ? NONE : then[u];
        v = lse(in + o[2 * phone[u]], stay + o[2 * phone[u] + 1]);
      }
      now[u] = v;
      alpha[(long)t * U + u] = v;
    }
    __syncthreads();
    float* swap = then; then = now; now = swap;
  }
  if (threadIdx.x == 0) {
    float s = NONE;
    for (int u = 0; u < n; u++) if (flags[u] & 2) s = lse(s, then[u]);
    total[b] = s;
  }
}
extern "C" __global__ void numerator_backward(const float* scores, const unsigned char* phone, const short* before,
    const short* after, const unsigned char* flags, const int* first, const int* last, const int* count,
    const float* alpha, const float* total, float* occupancy, int T, int U) {
  int b = blockIdx.x, n = count[b];
  extern __shared__ float shared[];
  float *beta = shared, *moved = shared + U, *sum = shared + 2 * U;
  phone += (long)b * U; before += (long)b * U * WAYS; after += (long)b * U * WAYS; flags += (long)b * U;
  first += (long)b * U; last += (long)b * U;
  scores += (long)b * T * OUTPUTS; occupancy += (long)b * T * OUTPUTS; alpha += (long)b * T * U;
  float z = total[b];
  for (int u = threadIdx.x; u < n; u += blockDim.x) beta[u] = flags[u] & 2 ? 0.f : NONE;
  for (int t = T - 1; t >= 0; t--) {
    const float* o = scores + t * OUTPUTS;
    for (int k = threadIdx.x; k < OUTPUTS; k += blockDim.x) sum[k] = 0;
    __syncthreads();
    for (int u = threadIdx.x; u < n; u += blockDim.x) {
      bool open = t >= first[u] && t <= last[u];
      float in = t == 0 ? (flags[u] & 1 ? 0.f : NONE) : ways_in(alpha + (long)(t - 1) * U, before + u * WAYS);
      float stay = t == 0 ? NONE : alpha[(long)(t - 1) * U + u];
      float ahead = open ? beta[u] : NONE;
      float enter = in + o[2 * phone[u]] + ahead - z, hold = stay + o[2 * phone[u] + 1] + ahead - z;
      if (enter > -40.f) atomicAdd(sum + 2 * phone[u], expf(fminf(enter, 1.f)));
      if (hold > -40.f) atomicAdd(sum + 2 * phone[u] + 1, expf(fminf(hold, 1.f)));
      moved[u] = ahead + o[2 * phone[u]];  // what entering u at t is worth from here on
      beta[u] = ahead + o[2 * phone[u] + 1];
    }
    __syncthreads();
    for (int k = threadIdx.x; k < OUTPUTS; k += blockDim.x) occupancy[t * OUTPUTS + k] = sum[k];
    for (int u = threadIdx.x; u < n; u += blockDim.x)
      beta[u] = fmaxf(lse(beta[u], ways_in(moved, after + u * WAYS)), NONE);
    __syncthreads();
  }
}
__device__ float block_sum(float v, float* room) {
  for (int k = 16; k > 0; k >>= 1) v += __shfl_xor_sync(0xffffffffu, v, k);
  __syncthreads();
  if ((threadIdx.x & 31) == 0) room[threadIdx.x >> 5] = v;
  __syncthreads();
  float s = 0;
  for (int k = 0; k < (int)(blockDim.x >> 5); k++) s += room[k];
  return s;
}
// likelihood: exp(scores - frame's largest); next [q][p][r]
extern "C" __global__ void denominator_forward(const float* likelihood, const float* next, float* alpha, float* scale,
    int T) {
  int b = blockIdx.x;
  __shared__ float e[2][P * P], o[OUTPUTS], room[32];
  likelihood += (long)b * T * OUTPUTS; alpha += (long)b * T * P * P; scale += (long)b * T;
  int side = 0;
  for (int t = 0; t < T; t++) {
    for (int k = threadIdx.x; k < OUTPUTS; k += blockDim.x) o[k] = likelihood[t * OUTPUTS + k];
    __syncthreads();
    float part = 0;
    for (int i = threadIdx.x; i < P * P; i += blockDim.x) {
      int q = i / P, r = i % P;
      float v;
      if (t == 0) v = q == SILENCE ? next[(SILENCE * P + SILENCE) * P + r] * o[2 * r] : 0.f;
      else {
        float s = 0;
        const float* row = next + q * P * P + r;
        for (int p = 0; p < P; p++) s += e[side][p * P + q] * row[p * P];
        v = s * o[2 * r] + e[side][i] * o[2 * r + 1];
      }
      e[side ^ 1][i] = v;
      part += v;
    }
    float s = block_sum(part, room), inverse = 1.f / s;
    for (int i = threadIdx.x; i < P * P; i += blockDim.x) {
      float v = e[side ^ 1][i] * inverse;
      e[side ^ 1][i] = v;
      alpha[(long)t * P * P + i] = v;
    }
    if (threadIdx.x == 0) scale[t] = s;
    side ^= 1;
    __syncthreads();
  }
}
// back [q][r][p]
extern "C" __global__ void denominator_backward(const float* likelihood, const float* back, const float* alpha,
    const float* scale, float* occupancy, int T) {
  int b = blockIdx.x;
  __shared__ float beta[2][P * P], o[OUTPUTS], sum[OUTPUTS], room[32];
  likelihood += (long)b * T * OUTPUTS; alpha += (long)b * T * P * P; scale += (long)b * T;
  occupancy += (long)b * T * OUTPUTS;
  int side = 0;
  for (int i = threadIdx.x; i < P * P; i += blockDim.x) beta[0][i] = 1.f;
  for (int t = T - 1; t >= 0; t--) {
    for (int k = threadIdx.x; k < OUTPUTS; k += blockDim.x) { o[k] = likelihood[t * OUTPUTS + k]; sum[k] = 0; }
    __syncthreads();
    float part = 0;
    for (int i = threadIdx.x; i < P * P; i += blockDim.x) part += alpha[(long)t * P * P + i] * beta[side][i];
    float inverse = 1.f / block_sum(part, room);
    for (int i = threadIdx.x; i < P * P; i += blockDim.x) {
      int r = i % P;
      float all = alpha[(long)t * P * P + i] * beta[side][i] * inverse;
      float hold = t == 0 ? 0.f
        : alpha[(long)(t - 1) * P * P + i] * o[2 * r + 1] / scale[t] * beta[side][i] * inverse;
      atomicAdd(sum + 2 * r, fmaxf(all - hold, 0.f));
      atomicAdd(sum + 2 * r + 1, hold);
    }
    __syncthreads();
    for (int k = threadIdx.x; k < OUTPUTS; k += blockDim.x) occupancy[t * OUTPUTS + k] = sum[k];
    part = 0;
    for (int i = threadIdx.x; i < P * P; i += blockDim.x) {
      int q = i / P, p = i % P;  // state (p, q)
      float s = 0;
      const float* row = back + q * P * P + p;
      for (int r = 0; r < P; r++) s += row[r * P] * o[2 * r] * beta[side][q * P + r];
      float v = s + o[2 * q + 1] * beta[side][p * P + q];
      beta[side ^ 1][p * P + q] = v;
      part += v;
    }
    float s = P * P / block_sum(part, room);
    for (int i = threadIdx.x; i < P * P; i += blockDim.x) beta[side ^ 1][i] *= s;
    side ^= 1;
    __syncthreads();
  }
}
'''

_kernels = {}


def _kernel(name, shared):
    import cupy
    if 'module' not in _kernels:
        defines = f'#define P {P}\n#define OUTPUTS {OUTPUTS}\n#define WAYS {WAYS}\n#define SILENCE {SILENCE}\n'
        _kernels['module'] = cupy.RawModule(code=defines + SOURCE)
    if name not in _kernels:
        _kernels[name] = _kernels['module'].get_function(name)
        if shared > 48 * 1024:
            _kernels[name].max_dynamic_shared_size_bytes = shared
    return _kernels[name]


def _launch(name, blocks, threads, shared, *arguments):
    import cupy
    values = [argument.data_ptr() if torch.is_tensor(argument) else np.int32(argument) for argument in arguments]
    with cupy.cuda.ExternalStream(torch.cuda.current_stream().cuda_stream):
        _kernel(name, shared)((blocks,), (threads,), tuple(values), shared_mem=shared)


def numerator(scores, graph, occupancies=True):
    """(log sums [batch], occupancies [batch, T, OUTPUTS]) of float32 scores on the GPU."""
    scores = scores.contiguous()
    batch, time = scores.shape[:2]
    size = graph['phone'].shape[1]
    alpha = torch.empty(batch, time, size, device=scores.device)
    total = torch.empty(batch, device=scores.device)
    threads = min(512, max(32, -(-size // 32) * 32))
    common = (scores, graph['phone'], graph['before'])
    limits = (graph['flags'], graph['first'], graph['last'], graph['count'], alpha, total)
    _launch('numerator_forward', batch, threads, 8 * size, *common, *limits, time, size)
    if not occupancies:
        return total, None
    occupancy = torch.empty_like(scores)
    _launch('numerator_backward', batch, threads, 8 * size + 4 * OUTPUTS, *common, graph['after'], *limits, occupancy,
            time, size)
    return total, occupancy


class Denominator:
    def __init__(self, trigram, device):
        table = torch.as_tensor(trigram, device=device)
        self.next = table.permute(1, 0, 2).contiguous()  # [q][p][r]
        self.back = table.permute(1, 2, 0).contiguous()  # [q][r][p]

    def __call__(self, scores, occupancies=True):
        batch, time = scores.shape[:2]
        top = scores.amax(2, keepdim=True)
        likelihood = (scores - top).exp().contiguous()
        alpha = torch.empty(batch, time, P * P, device=scores.device)
        scale = torch.empty(batch, time, device=scores.device)
        _launch('denominator_forward', batch, 800, 0, likelihood, self.next, alpha, scale, time)
        total = scale.log().sum(1) + top.sum((1, 2))
        if not occupancies:
            return total, None
        occupancy = torch.empty_like(likelihood)
        _launch('denominator_backward', batch, 800, 0, likelihood, self.back, alpha, scale, occupancy, time)
        return total, occupancy


class Mmi(torch.autograd.Function):
    """Mean over frames of the log of the transcript's share, for scores [batch, T, OUTPUTS] in float32."""

    @staticmethod
    def forward(context, scores, graph, denominator):
        with_text, occupancy = numerator(scores, graph)
        without, others = denominator(scores)
        good = torch.isfinite(with_text) & torch.isfinite(without) & (with_text > NONE / 2)
        frames = scores.shape[0] * scores.shape[1]
        gradient = torch.where(good[:, None, None], occupancy - others, torch.zeros_like(occupancy)) / frames
        context.save_for_backward(gradient)
        context.mark_non_differentiable(occupancy, good)
        value = torch.where(good, with_text - without, torch.zeros_like(without)).sum() / frames
        return value, occupancy, good

    @staticmethod
    def backward(context, value, *_):
        return value * context.saved_tensors[0], None, None
