/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Random small placement programmes, the same on every machine. */
#ifndef TEST_PLACE_SAMPLE_H
#define TEST_PLACE_SAMPLE_H

#include "unit/place/judge.h"

typedef struct sample {
    es_programme programme;
    es_programme_device device[JUDGE_MAX_DEVICES];
    es_programme_receiver receiver[JUDGE_MAX_RECEIVERS];
    es_programme_repeater repeater[JUDGE_MAX_REPEATERS];
    es_limit receiver_limit[2], repeater_limit[2];
    double direct_db[JUDGE_MAX_RECEIVERS * JUDGE_MAX_DEVICES], heard_db[JUDGE_MAX_REPEATERS * JUDGE_MAX_DEVICES];
    double up_db[JUDGE_MAX_RECEIVERS * JUDGE_MAX_REPEATERS], relay_db[JUDGE_MAX_REPEATERS * JUDGE_MAX_REPEATERS];
    es_cost wire[JUDGE_MAX_RECEIVERS * JUDGE_MAX_DEVICES];
} sample;

/* Fill *s (which must not move afterwards) from a seed. */
void sample_make(sample *s, uint64_t seed);

#endif
