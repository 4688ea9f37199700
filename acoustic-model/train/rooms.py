"""Room responses by the image-source method (Allen and Berkley, 1979): a box with one absorption for all its walls."""
import math

import torch

from features import RATE

SPEED = 343.0  # of sound, m/s
ORDER = 14


def responses(count, seconds, seed, device):
    """[count, samples]: the direct sound first, at time 0 and gain 1, then what the room adds.

    Rooms of 2.2 to 9 m by 2.2 to 7 m by 2.3 to 4 m, absorption 0.12 to 0.7, talker 0.2 to 2.5 m away.
    """
    generator = torch.Generator(device=device).manual_seed(seed)

    def uniform(low, high, *shape):
        return torch.rand(*shape, generator=generator, device=device) * (high - low) + low
    length = int(seconds * RATE)
    grid = torch.stack(torch.meshgrid(*[torch.arange(-ORDER, ORDER + 1, device=device)] * 3, indexing='ij'), -1)
    grid = grid.reshape(-1, 3).float()
    hits = grid.abs().sum(1)
    out = torch.zeros(count, length, device=device)
    for index in range(count):
        room = torch.cat([uniform(2.2, 9, 1), uniform(2.2, 7, 1), uniform(2.3, 4, 1)])
        bounce = math.sqrt(1 - float(uniform(0.12, 0.7, 1)))
        ear = room * uniform(0.15, 0.85, 3)
        direction = torch.randn(3, generator=generator, device=device)
        mouth = ear + direction / direction.norm() * uniform(0.2, 2.5, 1)
        mouth = torch.minimum(mouth.clamp_min(0.1), room - 0.1)
        even = grid % 2 == 0
        image = torch.where(even, grid * room + mouth, (grid + 1) * room - mouth)
        distance = (image - ear).norm(dim=1).clamp_min(0.05)
        direct = (mouth - ear).norm().clamp_min(0.05)
        delay = ((distance - direct) / SPEED * RATE).round().long()
        gain = bounce ** hits * direct / distance
        sign = torch.where(torch.rand(len(gain), generator=generator, device=device) < 0.5, -1.0, 1.0)
        gain = torch.where(hits <= 1, gain, gain * sign)  # far images come from all sides: no comb of equal signs
        keep = (delay >= 0) & (delay < length)
        out[index].scatter_add_(0, delay[keep], gain[keep])
    return out
