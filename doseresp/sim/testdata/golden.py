# Prints the first ten numbers of stream 7 of seed 2031 in exact integer
# arithmetic: SplitMix64 (Steele, Lea & Flood 2014) scrambles seed and stream
# into the two halves of the 128-bit state of PCG, a linear congruential
# generator whose DXSM output is a multiply and shift of the state.
M64, M128 = 2**64 - 1, 2**128 - 1

def scramble(x):
    x = (x + 0x9E3779B97F4A7C15) & M64
    x = ((x ^ (x >> 30)) * 0xBF58476D1CE4E5B9) & M64
    x = ((x ^ (x >> 27)) * 0x94D049BB133111EB) & M64
    return x ^ (x >> 31)

MULTIPLIER = 2549297995355413924 << 64 | 4865540595714422341
INCREMENT = 6364136223846793005 << 64 | 1442695040888963407
CHEAP = 0xDA942042E4DD58B5

def stream(seed, number):
    state = scramble(seed) << 64 | scramble(number)
    while True:
        state = (state * MULTIPLIER + INCREMENT) & M128
        hi, lo = state >> 64, (state & M64) | 1
        hi = ((hi ^ (hi >> 32)) * CHEAP) & M64
        hi ^= hi >> 48
        yield (hi * lo) & M64

numbers = stream(2031, 7)
for _ in range(10):
    print(repr((next(numbers) >> 11) * 2.0**-53))
