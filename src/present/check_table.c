/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of `check` as a person reads it. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "present/obstacles.h"
#include "present/table.h"
#include "present/words.h"

/* ---- what was checked ---- */

static void write_header(const earshot_check *check, unsigned width, earshot_text *text)
{
    const earshot_plan *plan = earshot_site_plan(check->site);
    const earshot_receiver *receiver = &plan->receiver[check->receiver];
    earshot_text words = {0};
    es_text_format(text, "%s\n", plan->site ? plan->site : "A site without a name");
    es_conditions_words(check, text);
    es_text_add(text, "\n");
    es_name_words(receiver->name, receiver->label, &words);
    es_text_format(&words, ", storey %s", plan->storey[receiver->storey].name);
    es_wrap_made("receiver ", &words, width, text);
    es_text_format(&words, "a dependable margin of %.1f dB, at %.4g %% confidence", check->need.margin_db,
                   check->need.confidence * 100.0);
    es_wrap_made("needed: ", &words, width, text);
}

/* ---- a line for each device ---- */

/* Wordings from long to short, of which the table takes the first that fits. total_db: of all that stands between. */
static void obstacles_reason(const earshot_site *site, const es_obstacles *found, double total_db, earshot_text *why)
{
    if (found->n == 0) {
        es_text_add(why, "clear line");
        return;
    }
    const es_obstacle *strongest = &found->item[found->strongest];
    const earshot_plan *plan = earshot_site_plan(site);
    const char *material = plan->material[earshot_site_element(site, strongest->element).material].name;
    es_obstacles_count(found, why);
    es_text_format(why, found->n == 1 ? ": %s %.1f dB" : ", strongest: %s %.1f dB", material, strongest->loss_db);
    if (found->n == 1) {
        es_text_format(why, ES_TABLE_OR "%s %.1f dB" ES_TABLE_OR, material, strongest->loss_db);
        es_obstacles_count(found, why);
        return;
    }
    es_text_add(why, ES_TABLE_OR);
    es_obstacles_count(found, why);
    es_text_format(why, ": %.1f dB" ES_TABLE_OR "%zu in line: %.1f dB" ES_TABLE_OR "%.1f dB", total_db, found->n,
                   total_db, total_db);
}

static void reason(const earshot_check *check, size_t device, earshot_text *why)
{
    const earshot_loss *loss = &check->device[device].link.loss;
    es_obstacles found;
    if (earshot_site_plan(check->site)->device[device].wiring == EARSHOT_WIRING_MUST) {
        es_text_add(why, "wired by the plan");
        return;
    }
    const earshot_status status =
        es_obstacles_find(check->site, earshot_site_device_at(check->site, device),
                          earshot_site_receiver_at(check->site, check->receiver), check->frequency_hz, &found);
    if (status == EARSHOT_OK) obstacles_reason(check->site, &found, loss->loss_db - loss->free_space_db, why);
    if (status == EARSHOT_MEMORY) why->failed = true;
    es_obstacles_clear(&found);
}

static void put_device(es_table *table, const earshot_check *check, size_t device, earshot_text *why)
{
    const earshot_device *d = &earshot_site_plan(check->site)->device[device];
    const earshot_decision *decision = &check->device[device];
    const bool judged = decision->link.loss.distance_m > 0.0;
    char figure[ES_FIGURE];
    why->size = 0;
    reason(check, device, why);
    es_table_put(table, "%s", d->name);
    es_table_put(table, "%s", d->label ? d->label : "");
    es_table_put(table, "%s", earshot_kind_name(d->kind));
    es_table_put(table, "%s", es_figure(figure, judged ? decision->link.loss.distance_m : NAN, 1));
    es_table_put(table, "%s", es_figure(figure, judged ? decision->link.margin_db : NAN, 1));
    es_table_put(table, "%s", es_figure(figure, judged ? decision->link.dependable_db : NAN, 1));
    es_table_put(table, "%s", earshot_verdict_name(decision->verdict));
    es_table_put(table, "%s", why->size ? why->data : "");
}

static void write_devices(const earshot_check *check, unsigned width, earshot_text *text)
{
    static const es_column COLUMN[] = {
        {.head = "", .head2 = "device", .flexible = true, .comfort = 16},
        {.head = "", .head2 = "label", .flexible = true, .comfort = 14, .optional = true},
        {.head = "", .head2 = "kind"},
        {.head = "away", .head2 = "m", .right = true},
        {.head = "margin", .head2 = "dB", .right = true},
        {.head = "depend-", .head2 = "able dB", .right = true},
        {.head = "", .head2 = "verdict"},
        {.head = "", .head2 = "in between", .flexible = true, .comfort = 18},
    };
    es_table *table = es_table_new(COLUMN, sizeof COLUMN / sizeof COLUMN[0]);
    earshot_text why = {0};
    es_text_add_char(text, '\n');
    for (size_t i = 0; i < check->n_devices; i++) put_device(table, check, i, &why);
    if (why.failed) text->failed = true;
    es_table_write(table, width, text);
    earshot_text_clear(&why);
    es_table_free(table);
}

/* ---- what the receiver holds ---- */

static void write_capacity(const earshot_check *check, size_t capacity, unsigned width, earshot_text *text)
{
    const unsigned count = earshot_site_plan(check->site)->capacity[capacity].count;
    const unsigned used = es_capacity_used(check, capacity);
    earshot_text line = {0};
    es_kinds_words(earshot_site_plan(check->site)->capacity[capacity].kinds, &line);
    es_text_format(&line, ": %u of %u", used, count);
    if (used > count)
        es_text_format(&line, " - %u TOO MANY: wire them, or choose a receiver that holds more", used - count);
    es_wrap_made("  ", &line, width, text);
}

static void write_capacities(const earshot_check *check, unsigned width, earshot_text *text)
{
    bool any = false;
    for (size_t i = 0; i < earshot_site_plan(check->site)->n_capacities; i++) {
        if (!es_capacity_applies(check, i)) continue;
        if (!any) es_text_add(text, "\nThe receiver holds:\n");
        any = true;
        write_capacity(check, i, width, text);
    }
}

/* ---- the outcome in words ---- */

typedef bool device_test(const earshot_check *check, size_t device, long mount);

static bool goes_by(const earshot_check *check, size_t device, long mount)
{
    const earshot_decision *d = &check->device[device];
    return d->verdict == EARSHOT_VERDICT_REPEATER && d->mount == mount;
}

static bool is_wired(const earshot_check *check, size_t device, long mount)
{
    (void)mount;
    return check->device[device].verdict == EARSHOT_VERDICT_WIRE && !check->device[device].unwirable;
}

static bool is_stranded(const earshot_check *check, size_t device, long mount)
{
    (void)mount;
    return check->device[device].verdict == EARSHOT_VERDICT_WIRE && check->device[device].unwirable;
}

/* More names than this are for the table alone. */
enum { MOST_NAMES = 40 };

/* A line "INTRODUCTION: name, name"; nothing when no device passes the test. */
static void write_group(const earshot_check *check, const char *introduction, device_test *test, long mount,
                        unsigned width, earshot_text *text)
{
    earshot_text line = {0};
    size_t n = 0;
    for (size_t i = 0; i < check->n_devices; i++) {
        if (!test(check, i, mount) || n++ >= MOST_NAMES) continue;
        es_text_add(&line, line.size ? ", " : introduction);
        es_text_add(&line, earshot_site_plan(check->site)->device[i].name);
    }
    if (n > MOST_NAMES) es_text_format(&line, " and %zu more", n - MOST_NAMES);
    es_wrap_made("", &line, width, text);
}

static void write_repeaters(const earshot_check *check, unsigned width, earshot_text *text)
{
    const earshot_plan *plan = earshot_site_plan(check->site);
    earshot_text introduction = {0};
    for (size_t i = 0; i < plan->n_mounts; i++) {
        introduction.size = 0;
        es_text_add(&introduction, "With a repeater at ");
        es_name_words(plan->mount[i].name, plan->mount[i].label, &introduction);
        es_text_add(&introduction, ": ");
        if (introduction.failed)
            text->failed = true;
        else
            write_group(check, introduction.data, goes_by, (long)i, width, text);
    }
    earshot_text_clear(&introduction);
}

static void write_summary(const earshot_check *check, unsigned width, earshot_text *text)
{
    earshot_text words = {0};
    if (check->n_devices == 0) {
        es_text_add(text, "\nThe plan has no devices yet.\n");
        return;
    }
    es_text_add_char(text, '\n');
    es_text_format(&words, "%zu of %zu %s heard directly with what is needed in hand.", check->n_direct,
                   check->n_devices,
                   check->n_direct != 1    ? "devices are"
                   : check->n_devices == 1 ? "device is"
                                           : "devices is");
    es_wrap_made("", &words, width, text);
    write_repeaters(check, width, text);
    write_group(check, "By wire: ", is_wired, EARSHOT_NONE, width, text);
    write_group(check, "Another place must be found, as they cannot be wired: ", is_stranded, EARSHOT_NONE, width,
                text);
}

void earshot_present_check(const earshot_check *check, const earshot_look *look, earshot_text *text)
{
    write_header(check, look->width, text);
    if (check->n_devices) write_devices(check, look->width, text);
    write_capacities(check, look->width, text);
    write_summary(check, look->width, text);
}
