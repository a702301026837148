/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers that look random and are the same on every machine. */
#ifndef TEST_RANDOM_H
#define TEST_RANDOM_H

#include <stddef.h>
#include <stdint.h>

/* splitmix64: G. Steele, D. Lea, C. Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014 (constants
 * from memory). */
static inline uint64_t random_bits(uint64_t *state)
{
    uint64_t z = *state += 0x9E3779B97F4A7C15u;
    z = (z ^ z >> 30) * 0xBF58476D1CE4E5B9u;
    z = (z ^ z >> 27) * 0x94D049BB133111EBu;
    return z ^ z >> 31;
}

/* 0 to n - 1. */
static inline size_t random_below(uint64_t *state, size_t n)
{
    return (size_t)(random_bits(state) % n);
}

/* low to high. */
static inline double random_between(uint64_t *state, double low, double high)
{
    return low + (high - low) * (double)(random_bits(state) >> 11) * 0x1p-53;
}

#endif
