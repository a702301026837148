/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer, in three sentences: how many need nothing, what the others need, and that it will be tested. */
#include "base/text.h"
#include "present/report/sections.h"
#include "present/words.h"

typedef bool belongs(const es_report *r, size_t device, long mount);

static bool by_repeater(const es_report *r, size_t device, long mount)
{
    const earshot_decision *d = &r->check->device[device];
    return d->verdict == EARSHOT_VERDICT_REPEATER && d->mount == mount;
}

static bool by_wire(const es_report *r, size_t device, long mount)
{
    (void)mount;
    const earshot_decision *d = &r->check->device[device];
    return d->verdict == EARSHOT_VERDICT_WIRE && !d->unwirable;
}

static bool nowhere(const es_report *r, size_t device, long mount)
{
    (void)mount;
    const earshot_decision *d = &r->check->device[device];
    return d->verdict == EARSHOT_VERDICT_WIRE && d->unwirable;
}

static size_t count(const es_report *r, belongs *test, long mount)
{
    size_t n = 0;
    for (size_t i = 0; i < r->check->n_devices; i++) n += test(r, i, mount);
    return n;
}

/* "a cable for A, B and C"; nothing where nobody needs it. */
static void add_group(const es_report *r, earshot_text *help, belongs *test, long mount, es_message message)
{
    const size_t n = count(r, test, mount);
    earshot_text names = {0};
    size_t at = 0;
    if (n == 0) return;
    for (size_t i = 0; i < r->check->n_devices; i++)
        if (test(r, i, mount)) es_report_list(r, &names, es_report_device(r, i), at++, n);
    if (help->size) es_text_add(help, "; ");
    if (message == ES_SAY_ANSWER_REPEATER)
        ES_SAY(help, r->language, message, es_report_mount(r, mount), names.data);
    else
        ES_SAY(help, r->language, message, names.data);
    if (names.failed) help->failed = true;
    earshot_text_clear(&names);
}

static void add_help(const es_report *r, earshot_text *answer)
{
    earshot_text help = {0};
    const bool one = r->check->n_devices - r->check->n_direct == 1;
    for (size_t i = 0; i < r->plan->n_mounts; i++) add_group(r, &help, by_repeater, (long)i, ES_SAY_ANSWER_REPEATER);
    add_group(r, &help, by_wire, EARSHOT_NONE, ES_SAY_ANSWER_WIRE);
    add_group(r, &help, nowhere, EARSHOT_NONE, ES_SAY_ANSWER_PLACE);
    if (help.size) ES_SAY(answer, r->language, one ? ES_SAY_ANSWER_HELP_ONE : ES_SAY_ANSWER_HELP, help.data);
    if (help.failed) answer->failed = true;
    earshot_text_clear(&help);
}

static void add_kinds(const es_report *r, unsigned kinds, earshot_text *names)
{
    size_t n = 0, at = 0;
    for (int kind = 0; kind < EARSHOT_KINDS; kind++) n += kinds >> kind & 1u;
    for (int kind = 0; kind < EARSHOT_KINDS; kind++)
        if (kinds >> kind & 1u) es_report_list(r, names, es_say_kind(r->language, (earshot_kind)kind), at++, n);
}

static void add_overloads(const es_report *r, earshot_text *answer)
{
    for (size_t i = 0; i < r->check->n_overloads; i++) {
        const earshot_capacity *capacity = &r->plan->capacity[r->check->overload[i].capacity];
        char holds[ES_SAY_FIGURE], planned[ES_SAY_FIGURE];
        earshot_text names = {0};
        add_kinds(r, capacity->kinds, &names);
        ES_SAY(answer, r->language, ES_SAY_ANSWER_OVERLOAD, es_say_figure(holds, r->language, capacity->count, 0),
               es_say_figure(planned, r->language, r->check->overload[i].needed, 0), names.data);
        if (names.failed) answer->failed = true;
        earshot_text_clear(&names);
    }
}

void es_section_answer(const es_report *report)
{
    const earshot_check *check = report->check;
    earshot_text *answer = &report->document->scratch;
    char direct[ES_SAY_FIGURE], all[ES_SAY_FIGURE];
    es_say_figure(direct, report->language, (double)check->n_direct, 0);
    es_say_figure(all, report->language, (double)check->n_devices, 0);
    ES_PUT(report->document, ES_BLOCK_HEADING, 2, ES_SAY_ANSWER, "");
    if (check->n_devices == 0)
        ES_SAY(answer, report->language, ES_SAY_ANSWER_NONE, "");
    else if (check->n_direct == check->n_devices)
        ES_SAY(answer, report->language, check->n_devices == 1 ? ES_SAY_ANSWER_ONE_ALL : ES_SAY_ANSWER_ALL, all);
    else
        ES_SAY(answer, report->language, ES_SAY_ANSWER_SOME, direct, all);
    add_help(report, answer);
    add_overloads(report, answer);
    if (check->n_devices) ES_SAY(answer, report->language, ES_SAY_ANSWER_TEST, "");
    es_document_scratch(report->document, ES_BLOCK_LEAD, 0);
}
