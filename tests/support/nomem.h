/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Allocations that fail on demand. The test is linked with -Wl,--wrap=malloc, calloc and realloc, which turns every
 * call in our code (not in libc) into one of these. Include once in a program, after support/check.h. */
#ifndef TEST_NOMEM_H
#define TEST_NOMEM_H

#include <stdbool.h>

void *__real_malloc(size_t size);
void *__real_calloc(size_t n, size_t size);
void *__real_realloc(void *memory, size_t size);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t n, size_t size);
void *__wrap_realloc(void *memory, size_t size);

static long allocations_left = -1;
static bool one_failed, only_one;

/* Let n allocations succeed and all further ones fail; below 0: let all succeed. */
static inline void fail_allocation(long n)
{
    allocations_left = n;
    only_one = false;
    if (n >= 0) one_failed = false;
}

/* Let n allocations succeed, the next one fail, and all after it succeed: what is lost must not be forgotten. */
static inline void fail_one_allocation(long n)
{
    fail_allocation(n);
    only_one = true;
}

static inline bool allocation_failed(void)
{
    return one_failed;
}

static inline bool may_allocate(void)
{
    if (allocations_left < 0) return true;
    if (allocations_left > 0) {
        allocations_left--;
        return true;
    }
    one_failed = true;
    if (only_one) allocations_left = -1;
    return false;
}

void *__wrap_malloc(size_t size)
{
    return may_allocate() ? __real_malloc(size) : NULL;
}

void *__wrap_calloc(size_t n, size_t size)
{
    return may_allocate() ? __real_calloc(n, size) : NULL;
}

void *__wrap_realloc(void *memory, size_t size)
{
    return may_allocate() ? __real_realloc(memory, size) : NULL;
}

#endif
