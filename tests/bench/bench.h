/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What every benchmark needs. BENCH_SOURCE_DIR comes from CMake. */
#ifndef BENCH_H
#define BENCH_H

#include <stddef.h>

/* Since some moment in the past. */
double bench_seconds(void);
/* Sorts value[0..n). */
double bench_median(double *value, size_t n);
/* Machine, compiler and commit: without them a figure says nothing. */
void bench_print_machine(void);

#endif
