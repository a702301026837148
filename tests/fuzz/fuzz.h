/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What fuzz targets share: the entry point that a fuzzer or standalone.c calls, and a check that ends the program. */
#ifndef FUZZ_H
#define FUZZ_H

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define MUST_HOLD(condition)                                                                                           \
    do {                                                                                                               \
        if (condition) break;                                                                                          \
        fprintf(stderr, "%s:%d: does not hold: %s\n", __FILE__, __LINE__, #condition);                                 \
        abort();                                                                                                       \
    } while (0)

#endif
