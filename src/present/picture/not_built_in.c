/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What stands for the drawing code where cairo and pango are missing. */
#include "earshot/report.h"

bool earshot_pictures_built_in(void)
{
    return false;
}

earshot_status earshot_picture_map(const earshot_site *site, const earshot_map_view *view, size_t n_views,
                                   const earshot_picture_look *look, earshot_text *picture)
{
    (void)site, (void)view, (void)n_views, (void)look, (void)picture;
    return EARSHOT_NOT_BUILT_IN;
}

earshot_status earshot_picture_explanation(const earshot_check *check, size_t device, const earshot_picture_look *look,
                                           earshot_text *picture)
{
    (void)check, (void)device, (void)look, (void)picture;
    return EARSHOT_NOT_BUILT_IN;
}

earshot_status earshot_report_write(const earshot_report_request *request, const earshot_watch *watch,
                                    earshot_text *report)
{
    (void)request, (void)watch, (void)report;
    return EARSHOT_NOT_BUILT_IN;
}
