/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What to read next; what several visits show. */
#include <math.h>
#include <stdlib.h>

#include "base/text.h"
#include "present/calibrate_words.h"
#include "present/table.h"
#include "present/words.h"

/* ---- next ---- */

enum { MOST_NEXT = 5 };

static const double WORTH_IT = 0.0005; /* of an expected wrong verdict: what would be printed as 0.000 */

static void put_next(es_table *table, const earshot_plan *plan, const earshot_next *next)
{
    const earshot_device *d = &plan->device[next->device];
    es_table_put(table, "%s", d->name);
    es_table_put(table, "%s", d->label ? d->label : "");
    es_table_put(table, "%.1f", next->sigma_db);
    es_table_put(table, "%.3f", next->fall);
}

void earshot_present_next(const earshot_check *check, const earshot_next *next, size_t n, double doubt,
                          const earshot_look *look, earshot_text *text)
{
    static const es_column COLUMN[] = {
        {.head = "", .head2 = "device", .flexible = true, .comfort = 16},
        {.head = "", .head2 = "label", .flexible = true, .comfort = 16, .optional = true},
        {.head = "level known", .head2 = "to +- dB", .right = true},
        {.head = "fewer wrong", .head2 = "verdicts", .right = true},
    };
    const earshot_plan *plan = earshot_site_plan(check->site);
    es_text_format(text, "\nWhat to read next, %.2f MHz\n", check->frequency_hz / 1e6);
    es_text_format(text, "%.2f verdicts are expected to be wrong as things stand.\n", doubt);
    if (!n || next[0].fall < WORTH_IT) {
        es_text_add(text, "No single reading at a device would settle more.\n");
        return;
    }
    es_table *table = es_table_new(COLUMN, sizeof COLUMN / sizeof COLUMN[0]);
    for (size_t i = 0; i < n && i < MOST_NEXT && next[i].fall >= WORTH_IT; i++) put_next(table, plan, &next[i]);
    es_table_write(table, look->width, text);
    es_table_free(table);
}

/* ---- visits ---- */

static void put_trend(es_table *table, const earshot_plan *plan, const earshot_trend *t)
{
    char figure[ES_FIGURE], date[EARSHOT_DATE];
    earshot_day_text(t->last_day, date);
    es_table_put(table, "%s", plan->device[t->device].name);
    es_table_put(table, "%zu", t->visits);
    es_table_put(table, "%s", date);
    es_table_put(table, "%s", es_figure(figure, t->last_dbm, 1));
    es_table_put(table, "%s", es_figure(figure, t->margin_db, 1));
    es_table_put(table, "%s", es_figure(figure, t->change_db, 1));
    es_table_put(table, "%s", es_figure(figure, t->change_sigma_db, 1));
    es_table_put(table, "%s", es_figure(figure, t->slope_db_year, 1));
    es_table_put(table, "%s", es_figure(figure, t->slope_sigma_db_year, 1));
    es_table_put(table, "%s", t->flag == EARSHOT_TREND_STEADY ? "" : es_trend_word(t->flag));
}

static bool falls(const earshot_trend *t)
{
    return t->flag == EARSHOT_TREND_FALLING || t->flag == EARSHOT_TREND_DROPPED;
}

static void write_advice(const earshot_visits *v, const earshot_plan *plan, unsigned width, earshot_text *text)
{
    earshot_text words = {0};
    for (size_t i = 0; i < v->n && falls(&v->trend[i]); i++) {
        const bool dropped = v->trend[i].flag == EARSHOT_TREND_DROPPED;
        es_text_format(&words, "%s%s: %s.", words.size ? " " : "Look first at ", plan->device[v->trend[i].device].name,
                       dropped ? "it fell off since the visit before (new metal, moved, a door of another kind?)"
                               : "it has been falling (battery? something growing or piling up?)");
    }
    if (!words.size) es_text_add(&words, "No level falls by more than noise explains.");
    if (!isnan(v->common_db) && fabs(v->common_db) > 3.0 * v->common_sigma_db)
        es_text_format(&words,
                       " All together changed by %.1f dB at the last visit (+- %.1f dB): look at the receiver and its "
                       "aerial too.",
                       v->common_db, v->common_sigma_db);
    if (words.failed) text->failed = true;
    if (words.data) es_wrap("", words.data, width, text);
    earshot_text_clear(&words);
}

void earshot_present_visits(const earshot_calibration *calibration, const earshot_visits *visits,
                            const earshot_look *look, earshot_text *text)
{
    static const es_column COLUMN[] = {
        {.head = "", .head2 = "device", .flexible = true, .comfort = 16},
        {.head = "", .head2 = "visits", .right = true, .optional = true},
        {.head = "last", .head2 = "visit"},
        {.head = "level", .head2 = "dBm", .right = true},
        {.head = "margin", .head2 = "dB", .right = true},
        {.head = "change", .head2 = "dB", .right = true},
        {.head = "", .head2 = "+-", .right = true},
        {.head = "a year", .head2 = "dB", .right = true},
        {.head = "", .head2 = "+-", .right = true},
        {.head = "", .head2 = ""},
    };
    if (visits->visits < 2) return;
    es_text_format(text, "\n%zu visits; what to look at first on top\n", visits->visits);
    es_table *table = es_table_new(COLUMN, sizeof COLUMN / sizeof COLUMN[0]);
    for (size_t i = 0; i < visits->n; i++) put_trend(table, calibration->plan, &visits->trend[i]);
    es_table_write(table, look->width, text);
    es_table_free(table);
    write_advice(visits, calibration->plan, look->width, text);
}
