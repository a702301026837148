/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words and figures that several outputs share. */
#ifndef ES_WORDS_H
#define ES_WORDS_H

#include "earshot/present.h"

/* "868.30 MHz, rays model, scene closed-shutters". */
void es_conditions_words(const earshot_check *check, earshot_text *text);
/* 'panel "Under the stairs"': a name, and the label when there is one. */
void es_name_words(const char *name, const char *label, earshot_text *text);
/* The devices of a capacity's kinds that the plan has not wired. */
unsigned es_capacity_used(const earshot_check *check, size_t capacity);
/* Whether a capacity is that of the receiver checked. */
bool es_capacity_applies(const earshot_check *check, size_t capacity);
/* "movement, contact and smoke". */
void es_kinds_words(unsigned kinds, earshot_text *text);
/* A figure with so many decimals, "-" where it is not a number. Buffer of at least ES_FIGURE. */
const char *es_figure(char *buffer, double value, int decimals);
enum { ES_FIGURE = 40 };

#endif
