/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The slow and obvious judge of placements: tries every arrangement there is. Shares no code with the library. */
#ifndef TEST_PLACE_JUDGE_H
#define TEST_PLACE_JUDGE_H

#include "decide/programme.h"

enum { JUDGE_MAX_DEVICES = 8, JUDGE_MAX_REPEATERS = 6, JUDGE_MAX_RECEIVERS = 5 };

typedef struct judged {
    bool found;
    size_t receiver, n_unserved, n_repeaters;
    es_cost cost;
    double worst_db;
    long up[JUDGE_MAX_REPEATERS], way[JUDGE_MAX_DEVICES];
} judged;

/* Best arrangement for one receiver place, devices without a way allowed or not. */
judged judge_best(const es_programme *programme, size_t receiver, bool allow_unserved);
/* Below 0: a is to be preferred. All of the order in programme.h. */
int judge_compare(const es_programme *programme, const judged *a, const judged *b);

#endif
