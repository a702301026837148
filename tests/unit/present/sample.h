/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A small site made by hand, without the plan reader: two rooms, a door, a tank, a receiver, three devices, a mount. */
#ifndef TEST_PRESENT_SAMPLE_H
#define TEST_PRESENT_SAMPLE_H

#include "earshot/present.h"

typedef struct sample {
    earshot_plan plan;
    earshot_site *site;
    earshot_check check; /* at 868.30 MHz by the direct model */
} sample;

void sample_new(sample *s);
void sample_free(sample *s);

#endif
