/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Corrected materials as a file that a plan can use. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "base/text.h"
#include "present/calibrate_words.h"

/* A frequency of the new table, with the loss before. */
typedef struct entry {
    double frequency_hz, loss_db;
} entry;

enum { MOST_ENTRIES = 64 };

static const double SAME_HZ = 2e6;

static size_t add_entry(entry *list, size_t n, entry e)
{
    size_t at = n;
    for (size_t i = 0; i < n; i++)
        if (fabs(list[i].frequency_hz - e.frequency_hz) < SAME_HZ) return n;
    if (n == MOST_ENTRIES) return n;
    for (; at > 0 && list[at - 1].frequency_hz > e.frequency_hz; at--) list[at] = list[at - 1];
    list[at] = e;
    return n + 1;
}

/* The bands of the plan, and what the material's own table states besides. */
static size_t gather(const earshot_calibration *c, size_t material, entry *list)
{
    const earshot_material *m = &c->plan->material[material];
    size_t n = 0;
    for (size_t i = 0; i < c->plan->n_bands; i++) {
        const double hz = c->plan->band_hz[i];
        n = add_entry(list, n, (entry){hz, earshot_material_loss_db(c->before, material, hz, NULL)});
    }
    for (size_t i = 0; i < m->n_losses; i++)
        n = add_entry(list, n, (entry){m->loss[i].frequency_hz, m->loss[i].loss_db});
    return n;
}

/* Without zeros at the end. */
static void write_number(double value, int decimals, earshot_text *text)
{
    char buffer[64];
    es_format(buffer, sizeof buffer, "%.*f", decimals, value);
    size_t n = strlen(buffer);
    while (n && buffer[n - 1] == '0') n--;
    if (n && buffer[n - 1] == '.') n--;
    es_text_add_bytes(text, buffer, n);
}

static void write_layers(const earshot_material *m, earshot_text *text)
{
    for (size_t i = 0; i < m->n_layers; i++) {
        es_text_format(text, "%s%s:", i ? "," : " layers=", m->layer[i].electrical);
        write_number(m->layer[i].thickness_m * 1000.0, 6, text);
        es_text_add(text, "mm");
    }
}

/* Text between quotes, as the plan language reads it. */
static void write_quoted(const char *value, earshot_text *text)
{
    es_text_add_char(text, '"');
    for (; *value; value++) {
        if (*value == '"' || *value == '\\') es_text_add_char(text, '\\');
        es_text_add_char(text, *value);
    }
    es_text_add_char(text, '"');
}

static void write_source(const earshot_calibration *c, const earshot_material_fit *fit, earshot_text *text)
{
    earshot_text words = {0};
    es_text_add(&words, "calibrated from readings");
    earshot_text dates = {0};
    es_reading_dates(c, &dates);
    if (dates.data) es_text_format(&words, " of %s", dates.data);
    if (dates.failed) text->failed = true;
    earshot_text_clear(&dates);
    es_text_format(&words, " at %s; was %.1f dB +- %.1f dB at %.2f MHz", c->plan->site ? c->plan->site : "this site",
                   fit->before_db, fit->before_sigma_db, c->readings->reading[0].frequency_hz / 1e6);
    if (words.failed) text->failed = true;
    es_text_add(text, " source=");
    write_quoted(words.data ? words.data : "", text);
    earshot_text_clear(&words);
}

static void write_material(const earshot_calibration *c, const earshot_material_fit *fit, earshot_text *text)
{
    const earshot_material *m = &c->plan->material[fit->material];
    entry list[MOST_ENTRIES];
    const size_t n = gather(c, fit->material, list);
    es_text_format(text, "material  %s", m->name);
    if (m->label) {
        es_text_add_char(text, ' ');
        write_quoted(m->label, text);
    }
    write_layers(m, text);
    for (size_t i = 0; i < n; i++) {
        es_text_add(text, i ? "," : " loss=");
        write_number(list[i].frequency_hz / 1e6, 4, text);
        es_text_add_char(text, ':');
        write_number(fmax(0.0, list[i].loss_db + fit->correction_db), 2, text);
        es_text_add(text, "dB");
    }
    es_text_add(text, " spread=");
    write_number(fmin(fit->after_sigma_db, 40.0), 2, text);
    es_text_add(text, "dB basis=measured");
    if (!m->builtin) es_text_add(text, " replaces=yes");
    write_source(c, fit, text);
    es_text_add_char(text, '\n');
}

void earshot_plan_text_calibrated(const earshot_calibration *calibration, earshot_text *text)
{
    const earshot_calibration *c = calibration;
    es_text_add(text, "# Materials as readings on site found them: put `use \"this file\"` into the plan.\n"
                      "# The correction of each, in dB, is taken to be the same at all frequencies.\n");
    es_text_format(
        text,
        "# Not in here: levels are %.1f dB %s than foretold everywhere (+- %.1f dB), which is a matter of the\n"
        "# radios; and what is left near each reading, which check and map take from --readings. With this file\n"
        "# in the plan, do not calibrate by the same readings again: they would count twice.\n",
        fabs(c->offset_db), c->offset_db < 0.0 ? "lower" : "higher", c->offset_sigma_db);
    for (size_t i = 0; i < c->n_groups; i++) {
        if (c->group[i].n < 2 && !c->group[i].with_offset) continue;
        es_text_add(text, "# Not told apart by the readings:");
        for (size_t m = 0; m < c->n_materials; m++)
            if (c->material[m].group == (long)i)
                es_text_format(text, " %s", c->plan->material[c->material[m].material].name);
        es_text_add(text, c->group[i].with_offset ? " (and the offset)\n" : "\n");
    }
    for (size_t i = 0; i < c->n_materials; i++) write_material(c, &c->material[i], text);
}
