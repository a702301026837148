/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The parts of an explanation. */
#ifndef ES_EXPLAIN_H
#define ES_EXPLAIN_H

#include "present/obstacles.h"

/* What is being explained: one device of a check, and what stands between it and the receiver. */
typedef struct es_subject {
    const earshot_check *check;
    const earshot_device *device;
    size_t index; /* of the device in the plan */
    const earshot_link *link;
    es_obstacles obstacles; /* from the sending end of the ladder */
} es_subject;

/* The budget as a ladder of terms with the running level. */
void es_explain_ladder(const es_subject *subject, unsigned width, earshot_text *text);
/* The strongest paths in words, where the model has more than one. EARSHOT_OK or what computing them ended in. */
earshot_status es_explain_paths(const es_subject *subject, unsigned width, earshot_text *text);
/* Why, and what would change the verdict, in sentences. EARSHOT_OK or what a further link that was tried ended in. */
earshot_status es_explain_advice(const es_subject *subject, unsigned width, earshot_text *text);

#endif
