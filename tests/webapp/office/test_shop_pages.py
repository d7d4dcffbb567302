"""Settings, riding styles, price lists, history and export, through their pages."""

from __future__ import annotations

import io
import re
import zipfile
from datetime import date
from html import unescape

from fastapi import FastAPI
from fastapi.testclient import TestClient

from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.prices import Buyer, prices_for
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.schema.shop import FitPractice, PostureWindows, ShopSettings
from webapp.common.storage.database import reading
from webapp.office.forms.data_form import texts_of
from webapp.office.settings.preview import settings_preview, style_preview
from webapp.office.settings.sections import SECTIONS, section_named
from webapp.office.settings.shop_form import shop_form


def hidden(page: str, name: str) -> str:
    found = re.search(rf'name="{name}" value="([^"]*)"', page)
    assert found
    return unescape(found[1])


def form_at(client: TestClient, address: str, texts: dict[str, str]) -> dict[str, str]:
    page = client.get(address).text
    return texts | {name: hidden(page, name) for name in ("stamp", "base")}


def settings_of(app: FastAPI, *sections: str) -> dict[str, str]:
    shown: dict[str, str] = {}
    with reading(app.state.engine) as session:
        data, form = settings_data(session).model_dump(mode="json"), shop_form(session, "EUR")
        for name in sections:
            shown |= form.texts(data, section_named(name))
    return {name: text for name, text in shown.items() if text != "no"}  # as a browser sends it


def test_settings_are_kept_refused_and_merged(builder: TestClient, app: FastAPI) -> None:
    at = "/office/settings/quotes"
    form = form_at(builder, at, settings_of(app, "quotes"))
    refused = builder.post(at, data=form | {"deposit_percent": "a lot"})
    assert refused.status_code == 422
    assert 'value="a lot"' in refused.text
    with reading(app.state.engine) as session:
        before = settings_data(session)
    kept = builder.post(at, data=form | {"deposit_percent": "21,5"}, follow_redirects=False)
    assert kept.status_code == 303
    with reading(app.state.engine) as session:
        after = settings_data(session)
    assert str(after.deposit_percent) == "21.5"
    same = before.model_copy(update={"deposit_percent": after.deposit_percent})
    assert after == same, "a section keeps its own fields and no others"
    stale = builder.post(at, data=form | {"deposit_percent": "20"})
    assert stale.status_code == 409
    assert "theirs 21.5, yours 20" in stale.text


def test_sections_hold_every_setting_once(builder: TestClient) -> None:
    """What is no section's is on the page of one's own shop; two people meet in a section only."""
    held = [field for section in SECTIONS for field in section.paths]
    own = {"letterhead", "look", "time_zone", "number_style", "embed_sites", "tax_name",
           "tax_percent", "units", "paper"}  # fmt: skip
    fit = {f"fit.{name}" for name in FitPractice.model_fields}
    assert len(held) == len(set(held))
    assert set(held) == (set(ShopSettings.model_fields) - own - {"fit"}) | fit
    for section in SECTIONS:
        shown = builder.get(section.address).text
        form = shown.partition(f'action="{section.address}"')[2].partition("</form>")[0]
        named = set(re.findall(r'name="([a-z_.0-9]+)"', form)) - {"stamp", "base"}
        assert named
        assert all(section.holds(name) for name in named), section.name
        assert f'href="{section.address}" aria-current="true"' in shown
    assert SECTIONS[0].lead in builder.get("/office/settings").text
    assert builder.get("/office/settings/nothing").status_code == 404


def test_two_sections_are_kept_by_two_people(builder: TestClient, app: FastAPI) -> None:
    quotes, texts = "/office/settings/quotes", "/office/settings/texts"
    first = form_at(builder, quotes, settings_of(app, "quotes"))
    other = form_at(builder, texts, settings_of(app, "texts"))
    several = {"welcome": "Good day.\r\nCome in."}  # lines end like this in a form (WHATWG HTML)
    for at, form in ((quotes, first | {"quote_valid_days": "44"}), (texts, other | several)):
        assert builder.post(at, data=form, follow_redirects=False).status_code == 303
    with reading(app.state.engine) as session:
        now = settings_data(session)
    assert (now.quote_valid_days, now.welcome) == (44, "Good day.\nCome in.")


def test_settings_are_typed_in_words_and_in_money(builder: TestClient, app: FastAPI) -> None:
    """Parts and models by name, money as money, addresses made of names, boxes unticked."""
    for section in SECTIONS:
        page = builder.get(section.address).text
        assert not re.search("minor unit|fingerprint|Name in addresses", page)
    at = "/office/settings/packages"
    form = form_at(builder, at, settings_of(app, "packages"))
    assert form["price_rules.0.minor"] == "-60.00"
    assert form["price_rules.1.parts.1.part"].startswith("Chain or belt: ")
    wrong = form | {"price_rules.0.minor": "-6,000.123", "price_rules.1.parts.1.part": "Belt"}
    refused = builder.post(at, data=wrong)
    assert refused.status_code == 422
    assert "a part from the list, as in Finish: " in refused.text
    assert "an amount such as 129.00" in refused.text
    rule = {"price_rules.0.minor": "−45,50"}
    assert builder.post(at, data=form | rule, follow_redirects=False).status_code == 303

    at = "/office/settings/elsewhere"
    form = form_at(builder, at, settings_of(app, "elsewhere"))
    added = {"slug": "", "name": "Isles & Höfn", "tax_name": "VAT", "tax_percent": "4"}
    new = {f"destinations.3.{name}": text for name, text in added.items()}
    gone = {name: "" for name in form if re.match(r"destinations\.2\.(?!slug)", name)}
    assert builder.post(at, data=form | new | gone, follow_redirects=False).status_code == 303

    at = "/office/settings/whole-bikes"
    form = form_at(builder, at, settings_of(app, "whole-bikes"))
    start = {"starting_points.0.name": "Bare", "starting_points.0.model": "knapweed",
             "starting_points.0.parts.0.part": "Pedals: none"}  # fmt: skip
    assert builder.post(at, data=form | start, follow_redirects=False).status_code == 303

    at = "/office/settings/quotes"
    form = form_at(builder, at, settings_of(app, "quotes"))
    del form["confirm_before_order"]
    assert builder.post(at, data=form, follow_redirects=False).status_code == 303
    with reading(app.state.engine) as session:
        now = settings_data(session)
    assert [each.slug for each in now.destinations] == ["eu", "business", "isles-hofn"]
    assert [each.tax_included for each in now.destinations] == [True, False, False]
    assert (now.price_rules[0].minor, now.price_rules[1].minor) == (-4550, -9000)
    assert [each.part for each in now.price_rules[1].parts] == ["hub-gear-6-135", "belt"]
    bare = now.starting_points[0].parts[0]
    assert (bare.place, bare.part) == ("pedal", "none")
    assert not now.confirm_before_order


def test_a_preview_sums_as_a_quote_would(app: FastAPI, client: TestClient) -> None:
    """2000.00 with 19 % in it: 1680.67 and 319.33 [arithmetic]; on top: 2380.00."""
    from datetime import date
    from decimal import Decimal

    with reading(app.state.engine) as session:
        data = settings_data(session)
    found = settings_preview(data, currency="EUR", tax_included=True, today=date(2026, 3, 1))
    assert dict(found.sums)["Without tax"] == "1,680.67 EUR"
    assert dict(found.sums)["Deposit, 30 %"] == "600.00 EUR"
    assert found.valid_until == "31 March 2026"
    free = data.model_copy(update={"tax_percent": Decimal(0)})
    untaxed = settings_preview(free, currency="EUR", tax_included=True, today=date(2026, 3, 1))
    assert [words for words, _ in untaxed.sums] == ["To pay", "Deposit, 30 %"]
    added = settings_preview(data, currency="EUR", tax_included=False, today=date(2026, 3, 1))
    assert dict(added.sums)["To pay"] == "2,380.00 EUR"


def test_the_preview_answers_while_typing(builder: TestClient, app: FastAPI) -> None:
    at = "/office/settings/texts"
    texts = settings_of(app, "texts") | {"fit_notice": "As a rule & in general."}
    assert "As a rule &amp; in general." in builder.post(f"{at}/preview", data=texts).text
    wrong = texts | {"fit_notice": "x" * 4001}
    assert "No preview" in builder.post(f"{at}/preview", data=wrong).text
    own = {"letterhead.name": "Cinderholt & Daughters", "letterhead.email": "desk@shop.example",
           "currency": "JPY", "tax": "added", "tax_name": "Tax", "tax_percent": "10",
           "units": "metric", "paper": "A4", "time_zone": "UTC"}  # fmt: skip
    shown = builder.post("/office/shop/preview", data=own).text
    assert "Cinderholt &amp; Daughters" in shown
    assert "220,000 JPY" in shown, "200000 and a tenth on top [arithmetic]"
    assert "No preview" in builder.post("/office/shop/preview", data={"units": "x"}).text


def test_windows_show_which_riders_would_be_told_another_size(
    app: FastAPI, client: TestClient
) -> None:
    with reading(app.state.engine) as session:
        style = load_catalogue(session, "knapweed").styles[0]
        texts = texts_of(PostureWindows, style.windows.model_dump(mode="json"))
        same = style_preview(session, style.slug, texts)
        assert [each.kept for each in same] == [each.typed for each in same]
        assert all("of 100 riders in the chart’s range" in each.kept for each in same)
        assert not any(one.changed for model in same for one in model.shifts)
        # Room to stand over the top tube that nobody has: no size is left.
        none = {**texts, "straddle_room_least": "200", "straddle_room_clear": "300"}
        strict = style_preview(session, style.slug, none)
    assert any(one.changed for model in strict for one in model.shifts)


def test_a_style_is_kept(builder: TestClient, app: FastAPI) -> None:
    with reading(app.state.engine) as session:
        style = load_catalogue(session, "knapweed").styles[0]
    at = f"/office/settings/styles/{style.slug}"
    texts = texts_of(PostureWindows, style.windows.model_dump(mode="json"))
    form = form_at(builder, at, texts | {"style_name": "Trails"})
    assert builder.post(at, data=form | {"trunk_angle.low": "90"}).status_code == 422
    assert builder.post(at, data=form | {"do": "preview"}).status_code == 200
    kept = builder.post(at, data=form | {"knee_flexion": "32"}, follow_redirects=False)
    assert kept.status_code == 303
    with reading(app.state.engine) as session:
        now = load_catalogue(session, "knapweed").style(style.slug)
    assert (now.name, now.windows.knee_flexion) == ("Trails", 32)
    assert builder.post(at, data=form | {"knee_flexion": "33"}).status_code == 409
    assert builder.get("/office/settings/styles/nothing").status_code == 404


def test_styles_are_added_ordered_renamed_and_removed(builder: TestClient, app: FastAPI) -> None:
    """A removed style is offered to nobody, and whoever has it keeps it."""
    at = "/office/settings/styles"
    assert builder.post(at, data={"style_name": "trail", "like": "trail"}).status_code == 422
    assert builder.post(at, data={"style_name": " ", "like": "trail"}).status_code == 422
    assert builder.post(at, data={"style_name": "Ice", "like": "nothing"}).status_code == 404
    new = builder.post(at, data={"style_name": "Løs snø", "like": "loaded"}, follow_redirects=False)
    assert new.headers["location"] == f"{at}/los-sno"
    builder.post(f"{at}/los-sno/place", data={"to": "up"})
    builder.post(f"{at}/trail/place", data={"to": "up"})  # the first already
    assert styles_of(app) == ["trail", "in-between", "long-distance", "los-sno", "loaded"]
    with reading(app.state.engine) as session:
        catalogue = load_catalogue(session, "knapweed")
    assert catalogue.style("los-sno").windows == catalogue.style("loaded").windows
    texts = texts_of(PostureWindows, catalogue.style("loaded").windows.model_dump(mode="json"))
    form = form_at(builder, f"{at}/los-sno", texts)
    taken = builder.post(f"{at}/los-sno", data=form | {"style_name": "Loaded"})
    assert (taken.status_code, "a name that no other style has" in taken.text) == (422, True)
    ridden = "/fit/knapweed?stature=1750&style=loaded"
    assert builder.post(f"{at}/loaded/remove", follow_redirects=False).status_code == 303
    assert styles_of(app) == ["trail", "in-between", "long-distance", "los-sno"]
    assert 'value="loaded"' not in builder.get("/fit/knapweed?stature=1750").text
    assert re.search(r'value="loaded"[^>]* (selected|checked)', builder.get(ridden).text)
    assert (
        builder.get("/api/v1/models/knapweed/checks?style=loaded&stature=1750").status_code == 200
    )
    kept = builder.post(f"{at}/loaded", data=form_at(builder, f"{at}/loaded", texts) | {
        "style_name": "Laden", "knee_flexion": "31"}, follow_redirects=False)  # fmt: skip
    assert kept.status_code == 303
    assert "loaded" not in styles_of(app)
    builder.post(f"{at}/loaded/bring-back")
    assert styles_of(app)[-1] == "loaded"
    for slug in styles_of(app)[1:]:
        builder.post(f"{at}/{slug}/remove")
    last = builder.post(f"{at}/trail/remove")
    assert (last.status_code, styles_of(app)) == (409, ["trail"])


def styles_of(app: FastAPI) -> list[str]:
    with reading(app.state.engine) as session:
        return [each.slug for each in load_catalogue(session, "knapweed").styles]


def test_a_price_list_begins_with_another_and_counts_from_its_day(
    builder: TestClient, app: FastAPI
) -> None:
    new = {"name": "EUR next", "currency": "EUR", "valid_from": "2020-01-01",
           "valid_to": "2020-12-31", "tax_included": "yes", "copied": "eur-2026"}  # fmt: skip
    assert builder.post("/office/prices", data=new | {"valid_from": "soon"}).status_code == 422
    assert builder.post("/office/prices", data=new | {"currency": "XYZ"}).status_code == 422
    assert builder.post("/office/prices", data=new, follow_redirects=False).status_code == 303
    assert builder.post("/office/prices", data=new).status_code == 409
    page = builder.get("/office/prices/eur-next").text
    assert "Does not apply today" in page
    names = re.findall(r'name="(price:frame/[^"]+)" value="([^"]*)"', page)
    amounts = {unescape(name): value for name, value in names}
    assert amounts["price:frame/knapweed"]
    at = "/office/prices/eur-next"
    form = form_at(builder, at, amounts | {"price:frame/knapweed": "1999,50"})
    assert builder.post(f"{at}/amounts", data=form, follow_redirects=False).status_code == 303
    assert 'value="1999.50"' in builder.get(at).text
    assert (
        builder.post(f"{at}/amounts", data=form | {"price:frame/knapweed": "9"}).status_code == 409
    )
    fresh = form_at(builder, at, amounts | {"price:frame/knapweed": "dear"})
    refused = builder.post(f"{at}/amounts", data=fresh)
    assert refused.status_code == 422
    assert 'value="dear"' in refused.text
    form = form_at(builder, at, amounts | {"price:frame/knapweed": "1999,50",
                                           "cost:frame/knapweed": "840"})  # fmt: skip
    assert builder.post(f"{at}/amounts", data=form, follow_redirects=False).status_code == 303
    page = builder.get(at).text
    assert "50.0 %" in page  # 1999.50 less 19 % of tax is 1680.25; half of it is 840.13
    for public in ("/build/knapweed", "/api/v1/models/knapweed", "/table/knapweed"):
        assert "840.00" not in builder.get(public).text
    assert builder.post(f"{at}/amounts", data=form).status_code == 409  # as it was before
    fresh = form_at(builder, at, amounts | {"cost:frame/knapweed": "cheap"})
    wrong = builder.post(f"{at}/amounts", data=fresh)
    assert (wrong.status_code, 'value="cheap"' in wrong.text) == (422, True)
    own = {"name": "Next", "currency": "USD", "valid_from": "2020-01-01", "valid_to": ""}
    assert builder.post(at, data=own).status_code == 409
    kept = builder.post(at, data=own | {"currency": "EUR"}, follow_redirects=False)
    assert kept.status_code == 303
    assert builder.get("/office/prices/nothing").status_code == 404
    for kind in ("fork", "labour", "nothing"):
        assert builder.get(f"{at}?kind={kind}").status_code == 200


def test_history_tells_what_was_before(builder: TestClient, app: FastAPI) -> None:
    at = "/office/settings/quotes"
    form = form_at(builder, at, settings_of(app, "quotes"))
    builder.post(at, data=form | {"lead_time_weeks": "11"})
    page = builder.get("/office/history?table=shop_setting&who=Edda").text
    assert "lead time weeks: <s>9</s> 11" in page
    assert "No change matches" in builder.get("/office/history?key=nothing").text
    assert "Older ones" in builder.get("/office/history").text


def test_everything_can_be_taken_out_by_its_page(builder: TestClient) -> None:
    assert "frame_size" in builder.get("/office/keeping").text
    answer = builder.get("/office/keeping/export.zip")
    assert answer.headers["content-disposition"].startswith('attachment; filename="everything-')
    with zipfile.ZipFile(io.BytesIO(answer.content)) as file:
        assert "tables/part.jsonl" in file.namelist()


def test_nothing_of_the_office_is_left_in_caches(builder: TestClient) -> None:
    for path in ("/office/settings", "/office/history", "/office/keeping", "/office/prices",
                 "/office/parts", "/office/import", "/office/bench"):  # fmt: skip
        assert builder.get(path).headers["cache-control"] == "no-store"


def test_a_list_is_for_dealers_of_a_region(builder: TestClient, app: FastAPI) -> None:
    at = "/office/price-groups"
    new = {"group:": "Dealers", "region:": "Far north", "region::countries": "no, se"}
    refused = builder.post(at, data=new | {"region::countries": "Norway"})
    assert refused.status_code == 422
    assert 'value="Norway"' in refused.text or 'value="NORWAY"' in refused.text
    assert builder.post(at, data=new, follow_redirects=False).status_code == 303
    assert 'value="NO SE"' in builder.get(at).text
    assert builder.post(at, data={"group:": "dealers"}).status_code == 422  # there is one
    listed = {"name": "Trade", "currency": "EUR", "valid_from": "2020-01-01", "valid_to": ""}
    listed |= {"tax_included": "yes", "customer_group": "dealers", "region": "far-north"}
    assert builder.post("/office/prices", data=listed).status_code == 303
    assert "Dealers in Far north" in builder.get("/office/prices").text
    assert "Applies today." in builder.get("/office/prices/trade").text
    assert builder.post(at, data={"group:dealers": ""}).status_code == 422  # a list is for it
    assert builder.post(at, data={"group:dealers": "Shops"}).status_code == 303
    with reading(app.state.engine) as session:
        dealers = Buyer(group="dealers", region="far-north")
        assert load_catalogue(session, "knapweed").price_list != "Trade"
        assert prices_for(session, dealers, date(2026, 11, 1)).name == "Trade"


def test_prices_rise_by_a_percentage_in_one_step_that_is_taken_back(
    builder: TestClient, app: FastAPI
) -> None:
    """Worked by hand: 69.00 and 4 % are 71.76, rounded to whole half units 72.00."""
    at = "/office/prices/eur-2026/rise"
    for wrong in ({"percent": "much"}, {"percent": "0"}, {"percent": "4", "step": "3"},
                  {"percent": "4", "step": "50", "kind": "sofa"}):  # fmt: skip
        refused = builder.get(at, params={"step": "50", "kind": "stem"} | wrong)
        assert refused.status_code == 422
        assert f'value="{wrong["percent"]}"' in refused.text
        assert builder.post(at, data={"step": "50", "kind": "stem"} | wrong).status_code == 422
    form = {"percent": "4", "step": "50", "kind": "stem"}
    shown = builder.get(at, params=form).text
    assert "69.00 EUR" in shown
    assert "72.00 EUR" in shown

    def price() -> int:
        with reading(app.state.engine) as session:
            found = load_catalogue(session, "knapweed").part("stem", "40-0").price
        return found.minor if found else 0

    made = builder.post(at, data=form).headers["location"]
    assert made == "/office/part-changes/1"
    assert price() == 6900
    assert "Price of the default build" in builder.get(made).text
    assert builder.post(f"{made}/put-in-force").status_code == 303
    assert price() == 7200
    assert builder.post(f"{made}/take-back").status_code == 303
    assert price() == 6900
    everything = builder.get(at, params=form | {"kind": "all", "percent": "-2,5"}).text
    assert "Knapweed frame" in everything


def test_a_new_part_like_another_has_all_but_its_name(builder: TestClient) -> None:
    page = builder.get("/office/parts/stem/new?like=40-0").text
    assert 'name="length" type="text" value="40"' in page
    assert 'name="part_name" type="text" value=""' in page
    assert 'action="/office/parts/stem"' in page
    assert builder.get("/office/parts/stem/new?like=nothing").status_code == 404
