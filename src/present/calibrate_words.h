/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the outputs of a calibration share. */
#ifndef ES_CALIBRATE_WORDS_H
#define ES_CALIBRATE_WORDS_H

#include "earshot/present.h"

/* The name of the device that was read, or where the test transmitter stood: "(4.20, 1.00, 1.50)". */
void es_reading_where(const earshot_calibration *c, size_t reading, earshot_text *text);
/* "2026-03-14", "2025-03-02 to 2026-03-14"; nothing without dates. */
void es_reading_dates(const earshot_calibration *c, earshot_text *text);
/* "fits", "weaker", "stronger". */
const char *es_reading_word(earshot_reading_flag flag);
/* "steady", "falling" ... */
const char *es_trend_word(earshot_trend_flag flag);
/* How the level was stated: "dBm", "dB", "%"; "" when it was not. */
const char *es_level_unit_word(earshot_level_unit unit);

#endif
