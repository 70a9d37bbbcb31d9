/* How likely the past of the standing roof is: `standing_and_found` in the numpy form.

The past is a spell from new to today, without today's visits, of a roof that was not badly done. What may have
ended it adds up as a hazard; what was found and forced no renewal, as an expected number.
*/

static void recall(Room *room)
{
    const Past *past = room->of->past;
    const uint32_t *due = room->of->calendar + past->due;
    Roof roof;
    Visit visits[MOST_VISITS];
    READ(room, past->roof, roof);
    read_visits(room, past->visit, past->visits, visits);
    read_left_by_visits(visits, due, past->age, room->left_by_visits);
    Hiding hiding = hiding_from(room, past->leaks, past->age);
    hiding.insures = 0;
    Hidden hidden = {.open = {0}};
    Course now = course_from(&roof, all(0.0), all(0.0));
    const Draws surface = first_year_leaks(&roof);
    Draws ends = {0}, leaks_found = {0};
    for (int t = 0; t <= past->age; t++) {
        const Draws seen = t > 0 ? hiding.signs : all(0.0), by_visits = 1.0 - room->left_by_visits[t];
        Month born = {.plain = {0}};
        if (t > 0) born = grow(&roof, &surface, &now);
        hide(room, &hiding, t, 1, &born, &hidden);
        const Draws share = seen + (1.0 - seen) * by_visits;
        const Found step = found(&hiding.leaks, &hidden, share);
        ends += (1.0 - roof.ends_by_leak) * born.hazard + step.forcing;
        leaks_found += step.leaks - step.forcing;
        if (!due[t]) continue;
        thin_births(room, &hiding, t);
        rejuvenate(&roof, visits, due[t], &now);
    }
    keep(room, log_stands, -ends);
    keep(room, found_so_far, leaks_found);
}
