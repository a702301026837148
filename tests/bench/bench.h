/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What every benchmark needs. BENCH_SOURCE_DIR comes from CMake. */
#ifndef BENCH_H
#define BENCH_H

#include <stddef.h>

/* Processor time of this process: what others do on the machine meanwhile counts less than on a clock. */
double bench_seconds(void);
/* Sorts value[0..n). */
double bench_median(double *value, size_t n);
/* Machine, compiler and commit: without them a figure says nothing. */
void bench_print_machine(void);

#endif
