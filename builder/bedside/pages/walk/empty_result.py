"""A result with every part present and nothing in it: what result.js fills."""

from dataclasses import replace

from bedside.pages.frame.views import (
    AlsoView,
    CheckView,
    ClosedView,
    LookAnswerView,
    LookView,
    Named,
    ReasonView,
    ResultView,
    RungStepView,
    RungView,
    Told,
)

_ALSO = AlsoView(name="-", address="", sure="-", tenths=0, split="-")
_ANSWER = LookAnswerView(
    says="-", drawing="", shows="", fragment="", address="", then="-", sure="-"
)
_REASON = ReasonView(says="-", how="-")
_STEP = RungStepView(
    name="-", address="", in_short="-", ticks="-", closed=(ClosedView(tick="-", say="-"),)
)


def skeleton_view(view: ResultView) -> ResultView:
    """Any result with each list one long and each optional part there."""
    return replace(
        view,
        fragment="",
        head=replace(
            view.head,
            cause=True,
            family=True,
            open=True,
            named=True,
            name="-",
            sure="-",
            unclear="-",
            in_short="-",
            drawing=view.head.drawing or "-",
        ),
        within=(_ALSO,),
        now=replace(view.now, how=("-",), control="-", for_all=True),
        look=LookView(question="-", where="-", answers=(_ANSWER,), how_to_check="-"),
        check=CheckView(
            do="-",
            fits=(_ANSWER,),
            unsure=(_ANSWER,),
            other=(_ANSWER,),
            if_fails="-",
            open=True,
            passed=True,
            failed=True,
        ),
        also=(_ALSO,),
        reasons_for=(_REASON,),
        reasons_against=(_REASON,),
        why=True,
        rungs=(
            RungView(tier="-", name="-", check_first=True, ask_first=True, steps=(_STEP,)),
        ),
        ticks=True,
        whole=Named(name="-", address=""),
        caution=True,
        year="-",
        alone=True,
        equal="-",
        told=(Told(question="-", answer="-", sign="-", address="", change=""),),
        two=(Named(name="-", address=""),),
        notes=("-",),
        letter=True,
        led="-",
        link="-",
        mail="",
    )
