/* Draws side by side: arithmetic on LANES draws at once.

A value of type `Draws` holds one number for each of LANES draws; arithmetic on it is arithmetic on each,
and no result depends on what stands in the other lanes. The exponential and the logarithm are our own, for
the system's take one number at a time: series, exact to the last digit or two over the whole range.
*/

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#if defined(__AVX512F__)
#define LANES 8
#elif defined(__AVX2__)
#define LANES 4
#else
#define LANES 2
#endif

typedef double Draws __attribute__((vector_size(8 * LANES)));
typedef int64_t Flags __attribute__((vector_size(8 * LANES)));

#define EACH_LANE for (int lane = 0; lane < LANES; lane++)

static inline Draws all(double value) { return (Draws){0} + value; }

static inline Draws choose(Flags which, Draws yes, Draws no)
{
    return (Draws)(((Flags)yes & which) | ((Flags)no & ~which));
}

static inline int any(Flags which)
{
    int64_t found = 0;
    EACH_LANE found |= which[lane];
    return found != 0;
}

static inline int any_above(Draws value, double bound) { return any((Flags)(value > all(bound))); }

static inline int is_all(Draws value, double bound) { return !any((Flags)(value != all(bound))); }

static inline Draws least(Draws a, Draws b) { return choose((Flags)(a < b), a, b); }

static inline Draws most(Draws a, Draws b) { return choose((Flags)(a > b), a, b); }

static inline double largest(Draws value)
{
    double found = value[0];
    EACH_LANE found = value[lane] > found ? value[lane] : found;
    return found;
}

/* 2 ** k and exp(x) 2 ** -k - 1, for x = k ln 2 + r, |r| <= ln 2 / 2, by the series of the exponential. */
static inline Draws split_exponential(Draws x, Draws *scale)
{
    const double to_whole = 0x1.8p52;
    Draws within = least(most(x, all(-708.0)), all(709.0));
    Draws whole = within * 0x1.71547652b82fep+0 + to_whole;
    Flags power = ((Flags)whole + 1023) << 52;
    Draws k = whole - to_whole;
    Draws r = (within - k * 0x1.62e42fefa38p-1) - k * 0x1.ef35793c7673p-45;
    Draws sum = all(1.0 / 6227020800.0);
    sum = sum * r + 1.0 / 479001600.0;
    sum = sum * r + 1.0 / 39916800.0;
    sum = sum * r + 1.0 / 3628800.0;
    sum = sum * r + 1.0 / 362880.0;
    sum = sum * r + 1.0 / 40320.0;
    sum = sum * r + 1.0 / 5040.0;
    sum = sum * r + 1.0 / 720.0;
    sum = sum * r + 1.0 / 120.0;
    sum = sum * r + 1.0 / 24.0;
    sum = sum * r + 1.0 / 6.0;
    sum = sum * r + 0.5;
    *scale = (Draws)power;
    return sum * r * r + r;
}

static inline Draws exponential(Draws x)
{
    Draws scale, rest = split_exponential(x, &scale);
    Draws value = scale + scale * rest;
    return choose((Flags)(x < all(-708.0)), all(0.0), choose((Flags)(x == x), value, x));
}

/* 1 - exp(-mean): the chance of at least one of a Poisson number. */
static inline Draws chance(Draws mean)
{
    Draws scale, rest = split_exponential(-mean, &scale);
    return (1.0 - scale) - scale * rest;
}

/* Natural logarithm of a number above 0, by the series of the area tangent. */
static inline Draws logarithm(Draws x)
{
    const Flags mantissa = (Flags){0} + 0x000fffffffffffff, one = (Flags){0} + 0x3ff0000000000000;
    const Flags counting = (Flags){0} + 0x4330000000000000;
    Draws part = (Draws)(((Flags)x & mantissa) | one);
    Draws whole = (Draws)((Flags)(((Flags)x >> 52) | counting)) - (0x1p52 + 1023.0);
    Flags large = (Flags)(part > all(0x1.6a09e667f3bcdp+0));
    part = choose(large, part * 0.5, part);
    whole = choose(large, whole + 1.0, whole);
    Draws s = (part - 1.0) / (part + 1.0), square = s * s;
    Draws sum = all(1.0 / 23.0);
    sum = sum * square + 1.0 / 21.0;
    sum = sum * square + 1.0 / 19.0;
    sum = sum * square + 1.0 / 17.0;
    sum = sum * square + 1.0 / 15.0;
    sum = sum * square + 1.0 / 13.0;
    sum = sum * square + 1.0 / 11.0;
    sum = sum * square + 1.0 / 9.0;
    sum = sum * square + 1.0 / 7.0;
    sum = sum * square + 1.0 / 5.0;
    sum = sum * square + 1.0 / 3.0;
    Draws rest = 2.0 * s + 2.0 * s * square * sum;
    return whole * 0x1.62e42fefa38p-1 + (whole * 0x1.ef35793c7673p-45 + rest);
}

/* x ** exponent for x >= 0; x itself for 1, and 1 for 0 ** 0. */
static inline Draws power(Draws x, Draws exponent)
{
    if (is_all(exponent, 1.0)) return x;
    Draws value = exponential(exponent * logarithm(x));
    value = choose((Flags)(x > all(0x1p-1022)), value, all(0.0));
    value = choose((Flags)(exponent == all(1.0)), x, value);
    return choose((Flags)(exponent == all(0.0)), all(1.0), value);
}

/* The value of each lane in its own month, or 0 before the `first` month that has one. */
static inline Draws picked(const Draws *by_month, const int *month, int first)
{
    Draws out = {0};
    EACH_LANE if (month[lane] >= first) out[lane] = by_month[month[lane]][lane];
    return out;
}

/* Sum of a[i] b[n - i] over i = 0 ... n: one step of a convolution; four sums, so that none waits. */
static inline Draws convolved(const Draws *a, const Draws *b, int n)
{
    Draws sum[4] = {{0}};
    int i = 0;
    for (; i + 3 <= n; i += 4)
        for (int part = 0; part < 4; part++) sum[part] += a[i + part] * b[n - i - part];
    for (; i <= n; i++) sum[0] += a[i] * b[n - i];
    return (sum[0] + sum[1]) + (sum[2] + sum[3]);
}

