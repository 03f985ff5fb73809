/*
 * exact_decimal.c - whole numbers of quanta, and ratios of them. Why: exact_decimal.h.
 */
#include "numeric/exact_decimal.h"

#include <math.h>

static const int64_t tens[] = {1, 10, 100, 1000, 10000, 100000, 1000000, 10000000, 100000000, 1000000000};

/* The decimal mantissa / 10^places that was written: the first one whose correctly rounded quotient is the double. */
static bool shortest_decimal(double written, int64_t *mantissa, int *places) {
    if (!(fabs(written) < 9e15))
        return false;
    for (int p = 0; p <= 9; p++) {
        double scaled = written * (double)tens[p];
        if (fabs(scaled) > 9e15)
            break;
        int64_t whole = llround(scaled);
        double back = (double)whole / (double)tens[p];
        if (!(back < written || back > written)) {
            *mantissa = whole;
            *places = p;
            return true;
        }
    }
    *places = 9;
    while (*places > 0 && fabs(written) * (double)tens[*places] > 9e15)
        --*places;
    *mantissa = llround(written * (double)tens[*places]);
    return true;
}

bool mr_decimal_scaled(double written, int places, int64_t *out) {
    int64_t mantissa;
    int have;
    if (!shortest_decimal(written, &mantissa, &have))
        return false;
    mr_wide value = mantissa;
    if (have <= places) {
        value *= tens[places - have];
    } else {
        mr_wide step = tens[have - places];
        value = (value + (value < 0 ? -step / 2 : step / 2)) / step;
    }
    if (value > INT64_MAX || value < -INT64_MAX)
        return false;
    *out = (int64_t)value;
    return true;
}

bool mr_film_quanta(double written, enum mr_unit unit, int64_t *out) {
    int64_t mantissa, per_ten_um; /* tenths of a micrometre in one of the unit: exact for every film unit */
    int places;
    if (mr_unit_dim(unit) != MR_DIM_FILM || !shortest_decimal(written, &mantissa, &places))
        return false;
    per_ten_um = llround(mr_to_canonical(unit, 1) * 10);
    mr_wide value = (mr_wide)mantissa * per_ten_um, step = tens[places];
    value *= MR_QUANTA_PER_UM / 10;
    value = (value + (value < 0 ? -step / 2 : step / 2)) / step;
    if (value > INT64_MAX || value < -INT64_MAX)
        return false;
    *out = (int64_t)value;
    return true;
}

static mr_wide common_divisor(mr_wide a, mr_wide b) {
    if (a < 0)
        a = -a;
    while (b) {
        mr_wide rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

/* Quotient rounded to the nearest; half away from zero. */
static mr_wide nearest(mr_wide num, mr_wide den) {
    return (num + (num < 0 ? -den / 2 : den / 2)) / den;
}

#define DEN_MAX ((mr_wide)1000000000000)

struct mr_ratio mr_ratio_of(mr_wide num, mr_wide den) {
    mr_wide divisor = common_divisor(num, den);
    struct mr_ratio r = {num / divisor, den / divisor};
    if (r.den <= DEN_MAX)
        return r;
    mr_wide scaled; /* whole part apart, so that the product does not run over */
    mr_wide whole = r.num / r.den, rest = r.num % r.den;
    while (__builtin_mul_overflow(rest, DEN_MAX, &scaled)) {
        rest /= 2;
        r.den /= 2;
    }
    return (struct mr_ratio){whole * DEN_MAX + nearest(scaled, r.den), DEN_MAX};
}

struct mr_ratio mr_ratio_add(struct mr_ratio a, struct mr_ratio b) {
    mr_wide divisor = common_divisor(a.den, b.den);
    return mr_ratio_of(a.num * (b.den / divisor) + b.num * (a.den / divisor), a.den / divisor * b.den);
}

struct mr_ratio mr_ratio_subtract(struct mr_ratio a, struct mr_ratio b) {
    b.num = -b.num;
    return mr_ratio_add(a, b);
}

struct mr_ratio mr_ratio_divide(struct mr_ratio a, int64_t n) {
    return mr_ratio_of(a.num, a.den * n);
}

struct mr_ratio mr_ratio_share(struct mr_ratio a, int64_t millipercent) {
    return mr_ratio_of(a.num * millipercent, a.den * 100000);
}

int mr_ratio_compare(struct mr_ratio a, struct mr_ratio b) {
    /* whole parts first: the rest is below the denominators, so their products stay below 10^24 */
    mr_wide whole_a = a.num / a.den, whole_b = b.num / b.den;
    if (whole_a != whole_b)
        return whole_a < whole_b ? -1 : 1;
    mr_wide left = (a.num % a.den) * b.den, right = (b.num % b.den) * a.den;
    return (left > right) - (left < right);
}

double mr_ratio_um(struct mr_ratio a) {
    return (double)((long double)a.num / ((long double)a.den * MR_QUANTA_PER_UM));
}

double mr_ratio_in(struct mr_ratio a, enum mr_unit unit) {
    long double tenths = (long double)llround(mr_to_canonical(unit, 1) * 10);
    return (double)((long double)a.num * 10 / ((long double)a.den * MR_QUANTA_PER_UM * tenths));
}
