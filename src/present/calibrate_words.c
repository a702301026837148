/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/calibrate_words.h"

#include "base/text.h"

void es_reading_where(const earshot_calibration *c, size_t reading, earshot_text *text)
{
    const earshot_reading *r = &c->readings->reading[reading];
    if (r->device != EARSHOT_NONE)
        es_text_add(text, c->plan->device[r->device].name);
    else
        es_text_format(text, "(%.2f, %.2f, %.2f)", r->at.x_m, r->at.y_m, r->at.z_m);
}

void es_reading_dates(const earshot_calibration *c, earshot_text *text)
{
    long first = EARSHOT_NO_DAY, last = EARSHOT_NO_DAY;
    char date[EARSHOT_DATE];
    for (size_t i = 0; i < c->readings->n; i++) {
        const long day = c->readings->reading[i].day;
        if (day == EARSHOT_NO_DAY) continue;
        if (first == EARSHOT_NO_DAY || day < first) first = day;
        if (day > last) last = day;
    }
    if (first == EARSHOT_NO_DAY) return;
    earshot_day_text(first, date);
    es_text_add(text, date);
    if (first == last) return;
    earshot_day_text(last, date);
    es_text_format(text, " to %s", date);
}

const char *es_reading_word(earshot_reading_flag flag)
{
    switch (flag) {
    case EARSHOT_READING_FITS: return "fits";
    case EARSHOT_READING_WEAKER: return "weaker";
    case EARSHOT_READING_STRONGER: return "stronger";
    }
    return "fits";
}

const char *es_trend_word(earshot_trend_flag flag)
{
    switch (flag) {
    case EARSHOT_TREND_STEADY: return "steady";
    case EARSHOT_TREND_FALLING: return "falling";
    case EARSHOT_TREND_RISING: return "rising";
    case EARSHOT_TREND_DROPPED: return "dropped";
    case EARSHOT_TREND_UNKNOWN: return "one visit";
    }
    return "one visit";
}

const char *es_level_unit_word(earshot_level_unit unit)
{
    switch (unit) {
    case EARSHOT_LEVEL_NONE: return "";
    case EARSHOT_LEVEL_DBM: return "dBm";
    case EARSHOT_LEVEL_MARGIN: return "dB";
    case EARSHOT_LEVEL_SCALE: return "%";
    }
    return "";
}
