/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What readings say of the plan, for a person. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "present/calibrate_words.h"
#include "present/table.h"
#include "present/words.h"

/* A paragraph from a text that is being put together; empties it. */
static void write_paragraph(earshot_text *words, unsigned width, earshot_text *text)
{
    if (words->failed) text->failed = true;
    if (words->data) es_wrap("", words->data, width, text);
    earshot_text_clear(words);
}

/* ---- head ---- */

static void write_header(const earshot_calibration *c, unsigned width, earshot_text *text)
{
    const size_t n = c->readings->n;
    const char *scene = earshot_site_scene(c->before);
    earshot_text words = {0};
    es_text_format(text, "%s\n", c->plan->site ? c->plan->site : "A site without a name");
    es_text_format(&words, "%zu reading%s at %zu place%s", n, n == 1 ? "" : "s", c->n_places,
                   c->n_places == 1 ? "" : "s");
    earshot_text dates = {0};
    es_reading_dates(c, &dates);
    if (dates.data) es_text_format(&words, ", %s", dates.data);
    if (dates.failed) text->failed = true;
    earshot_text_clear(&dates);
    es_text_format(&words, "; %s model", earshot_model_name(c->options.model));
    if (scene) es_text_format(&words, ", scene %s", scene);
    write_paragraph(&words, width, text);
}

/* ---- readings ---- */

enum { MOST_COLUMNS = 12 };

static void put_measured(es_table *table, const earshot_calibration *c, size_t i)
{
    const earshot_reading *r = &c->readings->reading[i];
    const earshot_reading_fit *fit = &c->reading[i];
    char figure[ES_FIGURE];
    if (r->unit != EARSHOT_LEVEL_NONE)
        es_table_put(table, "%s", es_figure(figure, fit->measured_dbm, 1));
    else
        es_table_put(table, "%s %s", r->heard ? ">" : "<", es_figure(figure, fit->bound_dbm, 1));
}

/* Columns that tell readings apart: only where they do. */
typedef struct shown {
    bool receiver, band, date;
} shown;

static shown find_shown(const earshot_calibration *c)
{
    const earshot_reading *first = c->readings->reading;
    shown s = {0};
    for (size_t i = 1; i < c->readings->n; i++) {
        const earshot_reading *r = &c->readings->reading[i];
        s.receiver |= r->receiver != first->receiver;
        s.band |= r->frequency_hz != first->frequency_hz;
        s.date |= r->day != first->day;
    }
    return s;
}

static void put_reading(es_table *table, const earshot_calibration *c, size_t i, shown s, earshot_text *where)
{
    char date[EARSHOT_DATE];
    const earshot_reading *r = &c->readings->reading[i];
    const earshot_reading_fit *fit = &c->reading[i];
    char figure[ES_FIGURE];
    where->size = 0;
    es_reading_where(c, i, where);
    es_table_put(table, "%u", r->line);
    es_table_put(table, "%s", where->data ? where->data : "");
    if (s.receiver) es_table_put(table, "%s", c->plan->receiver[r->receiver].name);
    if (s.band) es_table_put(table, "%s", es_figure(figure, r->frequency_hz / 1e6, 2));
    earshot_day_text(r->day, date);
    if (s.date) es_table_put(table, "%s", date);
    put_measured(table, c, i);
    es_table_put(table, "%s", es_figure(figure, fit->predicted_dbm, 1));
    es_table_put(table, "%s", es_figure(figure, fit->residual_db, 1));
    es_table_put(table, "%s", es_figure(figure, fit->left_out_db, 1));
    es_table_put(table, "%s", es_figure(figure, fit->left_out_sigma_db, 1));
    es_table_put(table, "%s", fit->flag == EARSHOT_READING_FITS ? "" : es_reading_word(fit->flag));
}

static void write_readings(const earshot_calibration *c, unsigned width, earshot_text *text)
{
    const shown s = find_shown(c);
    es_column column[MOST_COLUMNS] = {
        {.head = "", .head2 = "line", .right = true},
        {.head = "", .head2 = "device", .flexible = true, .comfort = 16},
    };
    static const es_column FIGURES[] = {
        {.head = "read", .head2 = "dBm", .right = true},  {.head = "fore-", .head2 = "told dBm", .right = true},
        {.head = "off by", .head2 = "dB", .right = true}, {.head = "by the", .head2 = "others dB", .right = true},
        {.head = "", .head2 = "+- dB", .right = true},    {.head = "", .head2 = ""},
    };
    size_t n = 2;
    if (s.receiver) column[n++] = (es_column){.head = "", .head2 = "receiver", .flexible = true, .comfort = 8};
    if (s.band) column[n++] = (es_column){.head = "", .head2 = "MHz", .right = true};
    if (s.date) column[n++] = (es_column){.head = "", .head2 = "date"};
    for (size_t i = 0; i < sizeof FIGURES / sizeof FIGURES[0]; i++) column[n++] = FIGURES[i];
    es_table *table = es_table_new(column, n);
    earshot_text where = {0};
    for (size_t i = 0; i < c->readings->n; i++) put_reading(table, c, i, s, &where);
    if (where.failed) text->failed = true;
    es_text_add_char(text, '\n');
    es_table_write(table, width, text);
    earshot_text_clear(&where);
    es_table_free(table);
}

/* What may be behind a reading that does not fit. */
static void write_flagged(const earshot_calibration *c, unsigned width, earshot_text *text)
{
    earshot_text words = {0};
    for (size_t i = 0; i < c->readings->n; i++) {
        const earshot_reading_fit *fit = &c->reading[i];
        if (fit->flag == EARSHOT_READING_FITS) continue;
        const bool weaker = fit->flag == EARSHOT_READING_WEAKER;
        es_text_format(&words, "Line %u, ", c->readings->reading[i].line);
        es_reading_where(c, i, &words);
        es_text_format(&words, ", does not fit: %.0f dB %s than all the others foretell, and so hardly counted. %s",
                       fabs(fit->left_out_db), weaker ? "weaker" : "stronger",
                       weaker ? "Is it behind a radiator or other metal, is its battery low, or is there a wall that "
                                "the plan does not have?"
                              : "Is there a wall on the plan that does not stand there, or was another device read?");
        if (c->readings->reading[i].device != EARSHOT_NONE && weaker && !isnan(fit->measured_dbm))
            es_text_format(&words, " For the device itself what was read counts: %.1f dB above the threshold.",
                           fit->measured_dbm - fit->threshold_dbm);
        if (c->readings->reading[i].note) es_text_format(&words, " (noted: %s)", c->readings->reading[i].note);
        es_text_add_char(text, '\n');
        write_paragraph(&words, width, text);
    }
}

/* ---- walls ---- */

/* A figure that the readings leave open. */
static const char *error_figure(char *buffer, double sigma_db)
{
    static const double OPEN_DB = 99.0;
    return sigma_db > OPEN_DB ? "any" : es_figure(buffer, sigma_db, 1);
}

static void put_material(es_table *table, const earshot_calibration *c, size_t i)
{
    const earshot_material_fit *m = &c->material[i];
    const earshot_material *material = &c->plan->material[m->material];
    char figure[ES_FIGURE];
    es_table_put(table, "%s", material->name);
    es_table_put(table, "%s", material->label ? material->label : "");
    es_table_put(table, "%zu", m->readings);
    es_table_put(table, "%s", es_figure(figure, m->before_db, 1));
    es_table_put(table, "%s", error_figure(figure, m->before_sigma_db));
    es_table_put(table, "%s", es_figure(figure, m->after_db, 1));
    es_table_put(table, "%s", error_figure(figure, m->after_sigma_db));
}

static void write_materials(const earshot_calibration *c, unsigned width, earshot_text *text)
{
    static const es_column COLUMN[] = {
        {.head = "", .head2 = "material", .flexible = true, .comfort = 18},
        {.head = "", .head2 = "", .flexible = true, .comfort = 14, .optional = true},
        {.head = "met by", .head2 = "readings", .right = true},
        {.head = "before", .head2 = "dB", .right = true},
        {.head = "", .head2 = "+- dB", .right = true},
        {.head = "after", .head2 = "dB", .right = true},
        {.head = "", .head2 = "+- dB", .right = true},
    };
    if (!c->n_materials) {
        es_text_add(text, "\nNo reading passed through a wall.\n");
        return;
    }
    es_table *table = es_table_new(COLUMN, sizeof COLUMN / sizeof COLUMN[0]);
    for (size_t i = 0; i < c->n_materials; i++) put_material(table, c, i);
    es_text_format(text, "\nWhat the walls cost, at %.2f MHz; others stay as they were\n",
                   c->readings->reading[0].frequency_hz / 1e6);
    es_table_write(table, width, text);
    es_table_free(table);
}

static void name_group(const earshot_calibration *c, size_t group, earshot_text *words)
{
    size_t named = 0;
    for (size_t i = 0; i < c->n_materials; i++) {
        if (c->material[i].group != (long)group) continue;
        const size_t n = c->group[group].n;
        const bool last = named + 1 == n;
        if (named) es_text_add(words, last && !c->group[group].with_offset ? " and " : ", ");
        es_text_add(words, c->plan->material[c->material[i].material].name);
        named++;
    }
    if (c->group[group].with_offset) es_text_add(words, " and the common offset");
}

static void write_groups(const earshot_calibration *c, unsigned width, earshot_text *text)
{
    for (size_t g = 0; g < c->n_groups; g++) {
        earshot_text words = {0};
        es_text_add(&words, "These readings cannot tell apart ");
        name_group(c, g, &words);
        es_text_add(&words, ": the figures above share out what they cost together as the plan's own figures would.");
        if (!isnan(c->group[g].together_sigma_db))
            es_text_format(&words, " Together, in the ratio in which they occur: %.1f dB, +- %.1f dB.",
                           c->group[g].together_db, c->group[g].together_sigma_db);
        es_text_add_char(text, '\n');
        write_paragraph(&words, width, text);
    }
}

/* Strong correlations that are not groups. */
static void write_correlations(const earshot_calibration *c, unsigned width, earshot_text *text)
{
    static const double STRONG = 0.7;
    for (size_t i = 0; i < c->n_materials; i++) {
        for (size_t j = i + 1; j < c->n_materials; j++) {
            const double r = c->correlation[i * c->n_materials + j];
            const bool grouped = c->material[i].group != EARSHOT_NONE && c->material[i].group == c->material[j].group;
            if (fabs(r) < STRONG || grouped) continue;
            earshot_text words = {0};
            es_text_format(&words, "%s and %s are hardly told apart (correlation %.2f).",
                           c->plan->material[c->material[i].material].name,
                           c->plan->material[c->material[j].material].name, r);
            write_paragraph(&words, width, text);
        }
    }
}

/* ---- what else ---- */

static void write_scale(const earshot_calibration *c, earshot_text *words)
{
    if (!c->scale_used) return;
    es_text_format(words, " The panel's scale: 0 %% is %.1f dBm and 100 %% is %.1f dBm%s", c->scale_low_dbm,
                   c->scale_high_dbm, c->scale_fitted ? ", fitted to these readings" : ", as stated");
    if (c->scale_fitted) es_text_format(words, " (+- %.1f dB)", c->scale_sigma_db);
    es_text_add(words, ".");
}

static void write_rest(const earshot_calibration *c, unsigned width, earshot_text *text)
{
    earshot_text words = {0};
    es_text_format(&words, "Everywhere levels are %.1f dB %s than foretold (+- %.1f dB).", fabs(c->offset_db),
                   c->offset_db < 0.0 ? "lower" : "higher", c->offset_sigma_db);
    write_scale(c, &words);
    es_text_format(&words, " What is left after that: %.1f dB (standard deviation), alike over %.1f m, %s.",
                   c->left_sigma_db, c->length_m,
                   c->left_estimated ? "estimated" : "assumed, as these are too few places to tell");
    es_text_format(&words, " Two readings at one place differ by %.1f dB, %s.", c->noise_db * sqrt(2.0),
                   c->noise_estimated           ? "estimated"
                   : isnan(c->options.noise_db) ? "assumed, as no place was read twice"
                                                : "as stated");
    es_text_add_char(text, '\n');
    write_paragraph(&words, width, text);
    if (!c->settled) es_text_add(text, "The estimate had not settled; take it with care.\n");
}

static void write_errors(const earshot_calibration *c, unsigned width, earshot_text *text)
{
    earshot_text words = {0};
    size_t wild = 0;
    if (isnan(c->rms_before_db)) return;
    if (isnan(c->rms_left_out_db)) {
        es_text_format(text, "The plan was off by %.1f dB (root mean square), and is off by %.1f dB now.\n",
                       c->rms_before_db, c->rms_after_db);
        return;
    }
    for (size_t i = 0; i < c->readings->n; i++) wild += c->reading[i].flag != EARSHOT_READING_FITS;
    es_text_format(
        &words,
        "The plan was off by %.1f dB (root mean square%s), and is off by %.1f dB now; each reading foretold by "
        "the others alone: %.1f dB.",
        c->rms_before_db, wild ? ", without what does not fit" : "", c->rms_after_db, c->rms_left_out_db);
    write_paragraph(&words, width, text);
}

/* ---- devices ---- */

static void write_changes(const earshot_check *before, const earshot_check *after, unsigned width, earshot_text *text)
{
    const earshot_plan *plan = earshot_site_plan(before->site);
    size_t changed = 0;
    es_text_format(text, "\nVerdicts, %.2f MHz, receiver %s\n", before->frequency_hz / 1e6,
                   plan->receiver[before->receiver].name);
    for (size_t i = 0; i < before->n_devices; i++) {
        const earshot_decision *was = &before->device[i], *is = &after->device[i];
        if (was->verdict == is->verdict) continue;
        earshot_text words = {0};
        es_text_format(&words, "%s: %s, was %s (dependable margin %.1f dB, was %.1f dB).", plan->device[i].name,
                       earshot_verdict_name(is->verdict), earshot_verdict_name(was->verdict), is->link.dependable_db,
                       was->link.dependable_db);
        write_paragraph(&words, width, text);
        changed++;
    }
    if (!changed) es_text_add(text, "No verdict changes.\n");
    es_text_format(text, "%zu direct, %zu by repeater, %zu by wire; before %zu, %zu, %zu.\n", after->n_direct,
                   after->n_repeater, after->n_wire, before->n_direct, before->n_repeater, before->n_wire);
}

void earshot_present_calibration(const earshot_calibration *calibration, const earshot_check *before,
                                 const earshot_check *after, size_t n_checks, const earshot_look *look,
                                 earshot_text *text)
{
    write_header(calibration, look->width, text);
    write_readings(calibration, look->width, text);
    write_flagged(calibration, look->width, text);
    write_materials(calibration, look->width, text);
    write_groups(calibration, look->width, text);
    write_correlations(calibration, look->width, text);
    write_rest(calibration, look->width, text);
    write_errors(calibration, look->width, text);
    for (size_t i = 0; i < n_checks; i++) write_changes(&before[i], &after[i], look->width, text);
}
