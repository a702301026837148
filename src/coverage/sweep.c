/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Links from one station to many. */
#include <stdlib.h>
#include <string.h>

#include "coverage/share.h"

typedef struct sweep {
    const earshot_field *field;
    double frequency_hz;
    earshot_need need;
    const earshot_station *from, *to;
    earshot_link *link;
} sweep;

static earshot_status judge_one(void *work, size_t i)
{
    const sweep *s = work;
    const earshot_station *to = &s->to[i];
    earshot_loss loss;
    if (!to->radio) return EARSHOT_OK;
    const earshot_status status = earshot_field_at(s->field, to->at, to->radio->antenna, &loss);
    if (status) return status;
    return earshot_link_judge(to, s->from, &loss, s->frequency_hz, s->need, &s->link[i]);
}

earshot_status earshot_links(const earshot_site *site, earshot_model model, double frequency_hz, earshot_need need,
                             const earshot_station *from, const earshot_station *to, size_t n,
                             const earshot_watch *watch, earshot_link *link)
{
    if (!from || !from->radio || (n && (!to || !link))) return EARSHOT_ARGUMENT;
    earshot_field *field;
    earshot_status status =
        earshot_field_new(site, model, frequency_hz, from->at, from->radio->antenna, EARSHOT_DETAIL_LINK, &field);
    if (status) return status;
    sweep work = {.field = field, .frequency_hz = frequency_hz, .need = need, .from = from, .to = to};
    work.link = calloc(n ? n : 1, sizeof *work.link);
    status = work.link ? es_share(n, judge_one, &work, watch) : EARSHOT_MEMORY;
    if (!status && n) memcpy(link, work.link, n * sizeof *link);
    free(work.link);
    earshot_field_free(field);
    return status;
}
