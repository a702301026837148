/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "base/text.h"
#include "present/report/sections.h"

enum { MOST_IN_A_LIST = 6 };

const char *es_report_device(const es_report *report, size_t device)
{
    const earshot_device *d = &report->plan->device[device];
    return d->label ? d->label : d->name;
}

const char *es_report_mount(const es_report *report, long mount)
{
    if (mount == EARSHOT_NONE) return "";
    const earshot_mount *m = &report->plan->mount[mount];
    return m->label ? m->label : m->name;
}

bool es_report_is_settled(const es_report *report, size_t device)
{
    return report->plan->device[device].wiring == EARSHOT_WIRING_MUST ||
           report->check->device[device].verdict == EARSHOT_VERDICT_DIRECT || report->check->device[device].link.meets;
}

void es_report_list(const es_report *report, earshot_text *text, const char *name, size_t i, size_t n)
{
    char figure[ES_SAY_FIGURE];
    const bool cut = n > MOST_IN_A_LIST, last = cut ? i == MOST_IN_A_LIST : i + 1 == n;
    if (cut && i > MOST_IN_A_LIST) return;
    if (i > 0) es_text_add(text, last ? es_message_text(report->language, ES_SAY_LIST_AND) : ", ");
    if (cut && last)
        ES_SAY(text, report->language, ES_SAY_LIST_MORE,
               es_say_figure(figure, report->language, (double)(n - MOST_IN_A_LIST), 0));
    else
        es_text_add(text, name);
}

/* Towards less: nobody shall read 10 where 9.6 was judged too little. */
const char *es_report_db(const es_report *report, char *buffer, double db)
{
    return es_say_figure(buffer, report->language, floor(db), 0);
}

const char *es_report_figure(const es_report *report, char *buffer, double value)
{
    return es_say_figure(buffer, report->language, value, fabs(value - rint(value)) < 0.05 ? 0 : 1);
}
