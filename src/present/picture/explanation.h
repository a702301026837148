/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ES_EXPLANATION_H
#define ES_EXPLANATION_H

#include "present/drawing/sheet.h"
#include "present/explain.h"

typedef struct es_explanation {
    es_subject subject;
    bool bare; /* no heading */
} es_explanation;

/* What is drawn of a device; free with es_explanation_clear. EARSHOT_ARGUMENT when it was not judged by radio. */
earshot_status es_explanation_new(const earshot_check *check, size_t device, bool bare, es_explanation *explanation);
void es_explanation_clear(es_explanation *explanation);
/* "Why the ... needs a wire". */
void es_explanation_words(const es_explanation *explanation, earshot_language language, earshot_text *text);

es_compose es_explanation_compose;

#endif
