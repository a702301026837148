/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words for placements. */
#ifndef ES_PLACE_WORDS_H
#define ES_PLACE_WORDS_H

#include "earshot/place.h"
#include "earshot/present.h"

/* "868.30 MHz, direct model, 2 scenes: as drawn, night". */
void es_placement_conditions(const earshot_placement *placement, earshot_text *text);
/* The obstacle in a sentence, with what would help. */
void es_reason_words(const earshot_placement *placement, const earshot_reason *reason, earshot_text *text);
/* Why a choice is ranked above the next one. */
void es_beats_words(const earshot_choice *choice, const earshot_choice *next, earshot_text *text);
/* What the channel has to carry, and whether that is too much. */
void es_load_words(const earshot_placement *placement, const earshot_load *load, earshot_text *text);
/* What a proof that was not finished is worth. */
void es_gap_words(const earshot_placement *placement, earshot_text *text);
/* The cable of a wired device: length, what is drilled, what arrives. */
void es_cable_words(const earshot_site *site, const earshot_cable *cable, earshot_text *text);
/* A margin, or "-" when all is wired. */
const char *es_worst_figure(char *buffer, double worst_db);

#endif
