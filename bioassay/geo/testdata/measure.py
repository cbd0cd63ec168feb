"""Opens a GeoJSON file and measures it with general-purpose libraries.

Usage: python3 measure.py FILE LON LAT

Prints one JSON object: the versions; of each feature whether it is valid,
whether its rings are closed and follow the right-hand rule, and its geodesic
area on the ellipsoid WGS 84 in km2; and the plane coordinates in km of each
point feature by the Lambert azimuthal equal-area projection about LON, LAT.
Run on Debian 12 with python3-shapely 1.8.5 and python3-pyproj 3.4.1.
"""

import json
import sys

import pyproj
import shapely
from shapely.geometry import shape


def parts(geometry):
    return geometry.geoms if geometry.geom_type.startswith("Multi") else [geometry]


def right_hand(polygon):
    return polygon.exterior.is_ccw and not any(r.is_ccw for r in polygon.interiors)


def closed(geometry):
    rings = geometry["coordinates"]
    if geometry["type"] == "Polygon":
        rings = [rings]
    return all(r[0] == r[-1] for p in rings for r in p)


def main(name, lon, lat):
    geod = pyproj.Geod(ellps="WGS84")
    to_plane = pyproj.Transformer.from_crs(
        "EPSG:4326",
        f"+proj=laea +lon_0={lon} +lat_0={lat} +datum=WGS84 +units=km",
        always_xy=True,
    )
    with open(name, encoding="utf-8") as file:
        collection = json.load(file)
    answer = {"shapely": shapely.__version__, "pyproj": pyproj.__version__, "features": []}
    for feature in collection["features"]:
        geometry = shape(feature["geometry"])
        found = {"id": feature.get("id", ""), "type": geometry.geom_type, "valid": geometry.is_valid}
        if geometry.geom_type == "Point":
            found["xy"] = to_plane.transform(geometry.x, geometry.y)
        else:
            found["right_hand"] = all(right_hand(p) for p in parts(geometry))
            found["closed"] = closed(feature["geometry"])
            found["km2"] = sum(geod.geometry_area_perimeter(p)[0] for p in parts(geometry)) / 1e6
        answer["features"].append(found)
    json.dump(answer, sys.stdout)


main(sys.argv[1], float(sys.argv[2]), float(sys.argv[3]))
